import { defineCheck, limit, measure } from "./define.js";
import { againstNeighbours, unmeasured } from "./local.js";

export const colourCast = defineCheck({
  id: "colour-cast",
  title: "photos of another colour than those around them",
  measures:
    "Red and blue against green on the surface a photo shares with others, in linear light, solved to one value a photo and held against the photos that share its surface.",
  why: "A change of white balance shows as a patch of another colour on the model.",
  advice: "Correct the white balance in a photo editor before the upload; next time lock it.",
  needs: ["other photos"],
  limits: {
    step: limit(
      0.25,
      "stops",
      "far over the changes between good photos (0.01 at the most); about where a change of white balance shows, our choice: docs/evaluation.md",
    ),
  },
  judge(facts, limits) {
    const red = againstNeighbours(facts, "redOffsetStops");
    const blue = againstNeighbours(facts, "blueOffsetStops");
    return {
      findings: facts.photos.flatMap(({ file }, i) => {
        const r = red[i];
        const b = blue[i];
        if (r === undefined || b === undefined) return [];
        const step = Math.abs(r) > Math.abs(b) ? r : b;
        if (Math.abs(step) < limits.step.value) return [];
        return [
          {
            about: "photo" as const,
            severity: "edit" as const,
            photos: [file],
            measured: measure(step, "stops"),
            limit: limits.step,
            message: `${file} is ${tint(r, b)} than the photos around it, on the same surface.`,
            advice: "Bring its white balance to that of its neighbours in a photo editor before the upload.",
          },
        ];
      }),
      skipped: unmeasured(facts.photos, red),
    };
  },
});

/** The larger of the shifts in plain words. */
function tint(red: number, blue: number): string {
  if (red > 0 && blue < 0) return "warmer";
  if (red < 0 && blue > 0) return "cooler";
  if (Math.abs(red) > Math.abs(blue)) return red > 0 ? "redder" : "less red";
  return blue > 0 ? "bluer" : "yellower";
}
