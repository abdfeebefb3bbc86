import { median } from "../measure/statistics.js";
import { defineCheck, limit, measure } from "./define.js";
import { knownSubject } from "./subject.js";

export const plainSubject = defineCheck({
  id: "plain-subject",
  title: "a subject without texture",
  measures:
    "Share of the subject that has no keypoint near, and the contrast of its finest texture, each as the set's middle value.",
  why: "Where nothing tells one place from the next, no depth can be found: the model gets holes and lumps, however rich the table and the wall are.",
  advice:
    "Texture on the table does not help the subject: put small marks on it, or powder it where that is allowed, or use a method that does not live on texture.",
  limits: {
    bare: limit(
      0.25,
      "ratio",
      "between textured props (0.05 at the most) and the sides of a plain jug or trunk (0.6 and more): docs/evaluation-subject.md",
    ),
    texture: limit(
      0.033,
      "ratio",
      "between props with texture (0.044 at the least) and white plaster with a texture of 0.6 %, its shading included (0.026 at the most): docs/evaluation-subject.md",
    ),
  },
  judge(facts, limits) {
    const known = facts.photos.flatMap((photo) => {
      const subject = knownSubject(photo);
      return subject?.bareRatio === undefined || subject.textureRatio === undefined
        ? []
        : [{ bare: subject.bareRatio.value, texture: subject.textureRatio.value }];
    });
    if (known.length < FEWEST)
      return { findings: [], skipped: [{ photos: [], reason: "not known which pixels are the subject's" }] };
    const bare = median(known.map((subject) => subject.bare));
    const texture = median(known.map((subject) => subject.texture));
    if (bare > limits.bare.value) {
      return {
        findings: [
          {
            about: "set" as const,
            severity: "reshoot" as const,
            photos: [],
            measured: measure(bare, "ratio"),
            limit: limits.bare,
            message: `The subject is plain: ${Math.round(100 * bare)} % of it holds nothing to match.`,
            advice: PREPARE,
          },
        ],
        skipped: [],
      };
    }
    if (texture >= limits.texture.value) return { findings: [], skipped: [] };
    return {
      findings: [
        {
          about: "set" as const,
          severity: "note" as const,
          photos: [],
          measured: measure(texture, "ratio"),
          limit: limits.texture,
          message: "The subject has hardly any texture: its shape and shading are all there is to match.",
          advice: PREPARE,
        },
      ],
      skipped: [],
    };
  },
});

/** Fewest photos with a known subject that speak for the set. */
const FEWEST = 5;

const PREPARE =
  "Texture on the table does not help the subject: put small marks on it, powder it where that is allowed, or use a method that does not live on texture.";
