import { againstNeighbours } from "../measure/set/photos-around.js";
import { defineCheck, inStops, limit, measure, valued } from "./define.js";
import { sharesTooLittle } from "./light.js";

export const exposureStep = defineCheck({
  id: "exposure-step",
  title: "photos darker or brighter than those around them",
  serves: "even-exposure",
  measures:
    "Brightness of the surface a photo shares with others, in linear light, solved to one value a photo and held against the photos that share its surface.",
  why: "A step in brightness shows as a seam in the model's colour, and costs matches.",
  advice: "Correct it in a photo editor before the upload; next time lock the exposure.",
  needs: ["other photos"],
  limits: {
    step: limit(
      0.4,
      "stops",
      "between good photos (0.03 at the most) and steps of 2/3 stop and more (0.65 at the least): docs/evaluation.md",
    ),
  },
  judge(facts, limits) {
    const steps = againstNeighbours(facts, "exposureOffsetStops");
    const { known, skipped } = valued(facts.photos, steps, sharesTooLittle);
    const odd = known.filter(({ value }) => Math.abs(value) >= limits.step.value);
    return {
      findings: odd.map(({ file, value }) => ({
        about: "photo",
        severity: "edit",
        photos: [file],
        measured: measure(value, "stops"),
        limit: limits.step,
        message: `${file} is ${inStops(value)} ${value > 0 ? "brighter" : "darker"} than the photos around it, on the same surface.`,
        advice: `Make it ${inStops(value)} ${value > 0 ? "darker" : "brighter"} in a photo editor before the upload.`,
      })),
      skipped,
    };
  },
});
