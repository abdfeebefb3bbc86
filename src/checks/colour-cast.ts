import { defineCheck, inStops, limit, measure, skippedFor } from "./define.js";
import { contradicted, levelAll, offBy } from "./exposure-step.js";
import { colourOffsets, levelledSet } from "./levelled-set.js";
import { type Group, namesOf } from "./levelling.js";
import { sharesTooLittle } from "./light.js";

export const colourCast = defineCheck({
  id: "colour-cast",
  title: "photos of another colour than the set",
  serves: "even-exposure",
  measures:
    "Red and blue against green on the surface a photo shares with others, in linear light, solved to one value a photo over all pairs and held against the largest block of photos that agree. Photos off by the same amount are one instruction; where colour passes gradually from one photo to the next, or more than six instructions were needed, the set as a whole is to be levelled and no photo accused.",
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
    const { colour } = levelledSet(facts, { colour: limits.step.value });
    const { known, without } = colourOffsets(facts);
    const skipped = [
      ...skippedFor(without, sharesTooLittle),
      ...skippedFor(colour.contradicted, contradicted),
    ];
    if (colour.wandering.length > 0) {
      const spans = [0, 1].map((k) => {
        const values = known.map((offset) => offset.values[k]);
        return Math.max(...values) - Math.min(...values);
      });
      const wide = Math.max(...spans);
      return {
        findings: [
          {
            about: "set",
            severity: "edit",
            photos: [],
            measured: measure(wide, "stops"),
            limit: limits.step,
            message: `The colour of the same surface wanders by ${inStops(wide)} of ${spans[0] > spans[1] ? "red" : "blue"} over the set, as where white balance was left on automatic; ${offBy(colour.wandering.length, limits.step.value)}.`,
            advice: levelAll,
          },
        ],
        skipped,
      };
    }
    const order = facts.photos.map(({ file }) => file);
    const far = new Set(colour.groups.flatMap(({ files }) => files));
    const good = known.flatMap(({ file }) => (far.has(file) ? [] : [file]));
    return {
      findings: colour.groups.map((group: Group) => {
        const [red, blue] = group.values;
        const { subject, verb, object } = namesOf(group.files, order);
        const model = nearestOf(good, group.files[0], order);
        return {
          about: "photo",
          severity: "edit",
          photos: group.files,
          measured: measure(Math.abs(red) > Math.abs(blue) ? red : blue, "stops"),
          limit: limits.step,
          message: `${subject} ${verb} ${tint(red, blue)} than the rest of the set, on the same surface: ${shifts(red, blue)} against green.`,
          advice: `Bring the white balance of ${object} to that of ${model} in a photo editor before the upload.`,
        };
      }),
      skipped,
    };
  },
});

/** The photo nearest in capture order that is in order itself. */
function nearestOf(good: readonly string[], file: string, order: readonly string[]): string {
  const place = order.indexOf(file);
  return good.reduce(
    (best, other) =>
      Math.abs(order.indexOf(other) - place) < Math.abs(order.indexOf(best) - place) ? other : best,
    good[0] ?? "the rest",
  );
}

/** "red 0.3 stops up, blue 0.5 stops down", without a channel that is in order. */
function shifts(red: number, blue: number): string {
  return [
    { name: "red", stops: red },
    { name: "blue", stops: blue },
  ]
    .filter(({ stops }) => Math.abs(stops) >= LEAST_SAID)
    .map(({ name, stops }) => `${name} ${inStops(stops)} ${stops < 0 ? "down" : "up"}`)
    .join(", ");
}

/** Less than this is printed as 0, stops. */
const LEAST_SAID = 0.05;

/** The shift in plain words. */
function tint(red: number, blue: number): string {
  const both = Math.min(Math.abs(red), Math.abs(blue)) >= LEAST_SAID;
  if (both && red > 0 && blue < 0) return "warmer";
  if (both && red < 0 && blue > 0) return "cooler";
  if (Math.abs(red) > Math.abs(blue)) return red > 0 ? "redder" : "less red";
  return blue > 0 ? "bluer" : "yellower";
}
