import { defineCheck, limit, measure, percentBeyond } from "./define.js";

/** Share of the photos that must show highlights: a flat side mirrors a lamp in a few photos only. */
const SHOWN_IN = 0.15;
const FEWEST_SHOWN = 3;

export const shinySubject = defineCheck({
  id: "shiny-subject",
  title: "a shiny or glassy subject",
  measures:
    "Share of the subject's surface that is brighter in a photo than the same surface in most other photos, exposure taken out: highlights that move with the camera. Of all photos the seventh part with the most, three at least.",
  why: "A highlight slides over the surface as the camera moves: it hides the texture, and the reconstruction takes it for a dent or a hole.",
  advice:
    "Use large diffuse light (a white cloth before the lamp, open shade), or polarising film on lamps and lens, crossed; where the owner allows it, a matting spray that evaporates.",
  limits: {
    share: limit(
      0.035,
      "ratio",
      "between matt props (0.032 at the most, 0.01 in the middle) and highlights of half a stop on 5 % of the subject or more (0.07 at the least): docs/evaluation-light.md",
    ),
  },
  judge(facts, limits) {
    const photos = facts.light?.photos ?? [];
    const known = photos.flatMap(({ file, highlightRatio }) =>
      highlightRatio === undefined ? [] : [{ file, highlightRatio }],
    );
    const without = photos.filter(({ highlightRatio }) => highlightRatio === undefined);
    if (known.length < FEWEST_SHOWN) return { findings: [], skipped: [{ photos: [], reason: whyNot }] };
    const skipped = without.length === 0 ? [] : [{ photos: without.map(({ file }) => file), reason: whyNot }];
    const ranked = known.toSorted((p, q) => q.highlightRatio - p.highlightRatio);
    const shown = Math.max(FEWEST_SHOWN, Math.ceil(SHOWN_IN * known.length));
    const { highlightRatio } = ranked[shown - 1];
    if (highlightRatio <= limits.share.value) return { findings: [], skipped };
    return {
      findings: [
        {
          about: "set",
          severity: "note",
          photos: known.filter((photo) => photo.highlightRatio > limits.share.value).map(({ file }) => file),
          measured: measure(highlightRatio, "ratio"),
          limit: limits.share,
          message: `The subject is shiny: highlights move over at least ${percentBeyond(highlightRatio, limits.share.value)} of its surface as the camera moves.`,
          advice:
            "Soften the light with a white cloth before the lamp or open shade, cross polarising film on lamps and lens, or, where the owner allows it, use a matting spray that evaporates.",
        },
      ],
      skipped,
    };
  },
});

const whyNot = "too little of the subject's surface could be followed into other photos";
