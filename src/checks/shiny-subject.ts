import { FEWEST_FOR_SET } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import { defineCheck, limit, measure, percentBeyond, valued } from "./define.js";
import { lightOf, notFollowed } from "./light.js";

export const shinySubject = defineCheck({
  id: "shiny-subject",
  title: "a shiny or glassy subject",
  serves: "even-exposure",
  measures:
    "Share of the subject's surface that is brighter in a photo than the same surface in most other photos, exposure taken out: highlights that move with the camera. The middle value of all photos, since what is seen through a handle moves over the surface too.",
  why: "A highlight slides over the surface as the camera moves: it hides the texture, and the reconstruction takes it for a dent or a hole.",
  advice:
    "Use large diffuse light (a white cloth well in front of the lamp, which gets hot; open shade), or polarising film on lamps and lens, crossed; where the owner allows it, a matting spray that evaporates.",
  needs: ["other photos"],
  limits: {
    share: limit(
      0.027,
      "ratio",
      "between matt props (0.007 at the most) and highlights of half a stop on 5 % of the subject or more (0.036 at the least): docs/evaluation-light.md",
    ),
  },
  judge(facts, limits) {
    const { known, skipped } = valued(facts.photos, lightOf(facts, "highlightRatio"), notFollowed);
    if (known.length < FEWEST_FOR_SET)
      return { findings: [], skipped: [{ photos: [], reason: notFollowed }] };
    const highlightRatio = median(known.map(({ value }) => value));
    if (highlightRatio <= limits.share.value) return { findings: [], skipped };
    return {
      findings: [
        {
          about: "set",
          severity: "note",
          photos: known.filter(({ value }) => value > limits.share.value).map(({ file }) => file),
          measured: measure(highlightRatio, "ratio"),
          limit: limits.share,
          message: `The subject is shiny: highlights move over at least ${percentBeyond(highlightRatio, limits.share.value)} of its surface in half of the photos.`,
          advice:
            "Soften the light with a white cloth well in front of the hot lamp, or use open shade, cross polarising film on lamps and lens, or, where the owner allows it, use a matting spray that evaporates.",
        },
      ],
      skipped,
    };
  },
});
