import { defineCheck, limit, measure, percentBeyond, valued } from "./define.js";
import { isShiny } from "./levelled-set.js";
import { lightOf, notFollowed } from "./light.js";

export const movingShadow = defineCheck({
  id: "moving-shadow",
  title: "shadows that move with the photographer",
  serves: "even-exposure",
  measures:
    "Share of the subject's surface that is darker in a photo than the same surface in most other photos, exposure taken out. A shadow over less than about half of the subject, or one that lies alike in many photos in a row, is not told from what a lamp's own shadows do.",
  why: "A shadow that falls on the subject in some photos only is baked into the model as a stain.",
  advice: "Stand so that your shadow falls beside the subject, leave the flash off, and soften the light.",
  needs: ["other photos"],
  limits: {
    share: limit(
      0.2,
      "ratio",
      "over what clean photos show (0.11 at the most; one of 139 of a thin brass lamp from two heights has 0.333, 99 % have 0.12 and less; 0.19 on two real heads of stone) and under a shadow over half of the subject (0.34 at the least): docs/evaluation-light.md",
    ),
    exposed: limit(
      1,
      "stops",
      "a photo exposed this far from the set has bent tones, which pass for shadow: 0.67 of a matt head 1.3 stops under, without any; our choice",
    ),
  },
  judge(facts, limits) {
    const { known, skipped } = valued(facts.photos, lightOf(facts, "shadowRatio"), notFollowed);
    if (isShiny(facts)) return { findings: [], skipped: [{ photos: [], reason: shine }] };
    const bent = new Set(
      facts.photos.flatMap(({ file, measures: { exposureOffsetStops: offset } }) =>
        Math.abs(offset?.value ?? 0) >= limits.exposed.value ? [file] : [],
      ),
    );
    const dark = known.filter(({ file, value }) => value > limits.share.value && !bent.has(file));
    if (dark.length === 0) return { findings: [], skipped };
    const worst = dark.reduce((p, q) => (q.value > p.value ? q : p));
    return {
      findings: [
        {
          about: "photo",
          severity: "note",
          photos: dark.map(({ file }) => file),
          measured: measure(worst.value, "ratio"),
          limit: limits.share,
          message: `${dark.length === 1 ? `In ${worst.file}` : "In these photos"} a shadow lies on the subject where the photos around show none, over up to ${percentBeyond(worst.value, limits.share.value)} of its surface.`,
          advice:
            "See whether your own shadow or a flash did it; if so, stand so that it falls beside the subject and take these again.",
        },
      ],
      skipped,
    };
  },
});

/** Why shadows are not told on a shiny subject. */
const shine = "the subject is shiny, so that its surface darkens with the view too";
