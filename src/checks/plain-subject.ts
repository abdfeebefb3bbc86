import { FEWEST_FOR_SET } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import type { Facts } from "../types/facts.js";
import type { Limit } from "../types/units.js";
import { type Draft, defineCheck, limit, measure, type Outcome } from "./define.js";
import { knownSubject, plainTexture, subjectLimits } from "./subject.js";

export const plainSubject = defineCheck({
  id: "plain-subject",
  title: "a subject without texture",
  serves: "one-whole",
  measures:
    "Share of the subject that has no keypoint near, and the contrast of its finest texture, each as the set's middle value. Where the photos do not even hang together well enough to tell the subject, the share is that of the middle half of the frame.",
  why: "Where nothing tells one place from the next, no depth can be found: the model gets holes and lumps, however rich the table and the wall are.",
  advice:
    "Texture on the table does not help the subject: put small marks on it, or powder it where that is allowed, or use a method that does not need texture.",
  needs: ["other photos"],
  limits: {
    bare: limit(
      0.5,
      "ratio",
      "half of the subject: plain jugs and trunks have 0.6 and more, and a model of less than half is none; our choice",
    ),
    someBare: limit(
      0.25,
      "ratio",
      "over textured props (0.1 at the most in any photo): docs/evaluation-subject.md; our choice, since many a good prop has a plain side",
    ),
    covered: limit(
      2.5,
      "stops",
      "a plain subject darker than its photos by more is black, or something lies over it: 2.5 stops lie between mid grey and what reflects 3 %, black paint; under a dark blob before the lens 3 and more: docs/evaluation-gate.md",
    ),
    texture: plainTexture,
    ...subjectLimits,
  },
  rising: ["someBare", "bare"],
  judge(facts, limits) {
    const known = facts.photos.flatMap((photo) => {
      const subject = knownSubject(photo, limits);
      return subject?.bareRatio === undefined || subject.textureRatio === undefined
        ? []
        : [
            {
              bare: subject.bareRatio.value,
              texture: subject.textureRatio.value,
              darker:
                subject.meanLuminanceStops &&
                photo.measures.meanLuminanceStops.value - subject.meanLuminanceStops.value,
            },
          ];
    });
    if (known.length < FEWEST_FOR_SET) return judgeMiddles(facts, limits.bare);
    const bare = median(known.map((subject) => subject.bare));
    const texture = median(known.map((subject) => subject.texture));
    const share = `${Math.round(100 * bare)} % of it holds nothing to match`;
    const darker = known.flatMap((subject) => subject.darker ?? []);
    if (bare > limits.bare.value && darker.length >= FEWEST_FOR_SET && median(darker) > limits.covered.value)
      return { findings: [covered(bare, limits.bare)], skipped: [] };
    if (bare > limits.bare.value)
      return {
        findings: [of("reshoot", bare, limits.bare, `The subject is plain: ${share}.`)],
        skipped: [],
      };
    if (bare > limits.someBare.value)
      return {
        findings: [of("note", bare, limits.someBare, `The subject is plain in places: ${share}.`)],
        skipped: [],
      };
    if (texture >= limits.texture.value) return { findings: [], skipped: [] };
    const message = "The subject has hardly any texture: its shape and shading are all there is to match.";
    return { findings: [of("note", texture, limits.texture, message)], skipped: [] };
  },
});

function of(severity: "reshoot" | "note", value: number, limit: Limit, message: string): Draft {
  return {
    about: "set",
    severity,
    // With marks on it, every photo has to be taken again.
    ...(severity === "reshoot" && { anew: true, whatItIs: "alone" as const }),
    photos: [],
    measured: measure(value, "ratio"),
    limit,
    message,
    advice:
      "Texture on the table does not help the subject: put small marks on it, powder it where that is allowed, or use a method that does not need texture.",
  };
}

/** Nothing in a picture tells what is black from what is covered: both are named. */
function covered(bare: number, limit: Limit): Draft {
  return {
    ...of(
      "reshoot",
      bare,
      limit,
      `The middle of the photos is dark and holds nothing: something covers the subject or the lens, or the subject is plain black. ${Math.round(100 * bare)} % of it holds nothing to match.`,
    ),
    advice:
      "Look at one photo at full size. Wipe the lens and keep fingers and straps off it; a plain black subject needs marks or powder on it. Then take the set again.",
  };
}

/**
 * Plainness itself keeps the photos from being joined, and then nobody knows which pixels are the subject's. Textured
 * sets that fail to join have up to 0.27 of the middle bare, the dark city among them, a plaster jug on black 0.6.
 */
function judgeMiddles({ photos }: Facts, limit: Limit): Outcome {
  const middles = photos.flatMap(({ file, subject }) =>
    subject?.source !== "centre" || subject.measures.bareRatio === undefined
      ? []
      : [{ file, bare: subject.measures.bareRatio.value }],
  );
  const bare = middles.length < FEWEST_FOR_SET ? undefined : median(middles.map((middle) => middle.bare));
  if (bare === undefined || bare <= limit.value)
    return { findings: [], skipped: [{ photos: [], reason: "not known which pixels are the subject's" }] };
  const message = `The photos are plain in the middle, where the subject should be: ${Math.round(100 * bare)} % of it holds nothing to match, and that keeps them from being joined.`;
  const plain = middles.filter((middle) => middle.bare > limit.value).map(({ file }) => file);
  const finding = of("reshoot", bare, limit, message);
  return { findings: [{ ...finding, photos: plain, insteadOf: "stray-photo" }], skipped: [] };
}
