import { againstNeighbours } from "../measure/set/photos-around.js";
import { defineCheck, limit, measure, valued } from "./define.js";
import { sharesTooLittle } from "./light.js";

export const colourCast = defineCheck({
  id: "colour-cast",
  title: "photos of another colour than those around them",
  serves: "even-exposure",
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
    const blues = againstNeighbours(facts, "blueOffsetStops");
    const shifts = againstNeighbours(facts, "redOffsetStops").map((red, i) => {
      const blue = blues[i];
      return red === undefined || blue === undefined ? undefined : { red, blue };
    });
    const { known, skipped } = valued(facts.photos, shifts, sharesTooLittle);
    const odd = known.filter(({ value }) => Math.abs(larger(value)) >= limits.step.value);
    return {
      findings: odd.map(({ file, value }) => ({
        about: "photo",
        severity: "edit",
        photos: [file],
        measured: measure(larger(value), "stops"),
        limit: limits.step,
        message: `${file} is ${tint(value)} than the photos around it, on the same surface.`,
        advice: "Bring its white balance to that of its neighbours in a photo editor before the upload.",
      })),
      skipped,
    };
  },
});

/** Red and blue against green, stops. */
interface Shift {
  readonly red: number;
  readonly blue: number;
}

function larger({ red, blue }: Shift): number {
  return Math.abs(red) > Math.abs(blue) ? red : blue;
}

/** The shift in plain words. */
function tint({ red, blue }: Shift): string {
  if (red > 0 && blue < 0) return "warmer";
  if (red < 0 && blue > 0) return "cooler";
  if (Math.abs(red) > Math.abs(blue)) return red > 0 ? "redder" : "less red";
  return blue > 0 ? "bluer" : "yellower";
}
