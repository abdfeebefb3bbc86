import { defineCheck, inStops, limit, measure, skippedFor } from "./define.js";
import { exposureOffsets, levelledSet, middleRange } from "./levelled-set.js";
import { type Group, namesOf } from "./levelling.js";
import { sharesTooLittle } from "./light.js";

export const exposureStep = defineCheck({
  id: "exposure-step",
  title: "photos darker or brighter than the set",
  serves: "even-exposure",
  measures:
    "Brightness of the surface a photo shares with others, in linear light, solved to one value a photo over all pairs and held against the largest block of photos that agree and are not burnt out. Photos off by the same amount are one instruction; where brightness passes gradually from one photo to the next, or more than six instructions were needed, the set as a whole is to be levelled and no photo accused. Of a shiny subject only what EXIF bears out counts.",
  why: "A step in brightness shows as a seam in the model's colour, and costs matches.",
  advice: "Correct it in a photo editor before the upload; next time lock the exposure.",
  needs: ["other photos"],
  limits: {
    step: limit(
      0.4,
      "stops",
      "between good photos (0.03 at the most) and steps of 2/3 stop and more (0.65 at the least); a turned subject at one exposure wanders by 0.27 where its white balance does not change: docs/evaluation.md, docs/evaluation-exposure.md",
    ),
    drift: limit(
      0.4,
      "stops",
      "a spread under twice the step that no photo exceeds: photos that share a surface then differ by less than a step, which blending textures evens out; common practice, no source",
    ),
  },
  judge(facts, limits) {
    const { exposure, unclear } = levelledSet(facts, { exposure: limits.step.value });
    const { known, without } = exposureOffsets(facts);
    const values = known.map(({ values: [stops] }) => stops);
    const skipped = [
      ...skippedFor(without, sharesTooLittle),
      ...skippedFor(exposure.contradicted, contradicted),
      ...(unclear ? [{ photos: [], reason: unclear }] : []),
    ];
    if (exposure.wandering.length > 0) {
      const wide = Math.max(...values) - Math.min(...values);
      return {
        findings: [
          {
            // No photo is at fault by itself: it is the set that is to be levelled, in one go.
            about: "set",
            severity: "edit",
            photos: [],
            measured: measure(wide, "stops"),
            limit: limits.step,
            message: `The brightness of the same surface wanders by ${inStops(wide)} over the set, as where exposure was left on automatic; ${offBy(exposure.wandering.length, limits.step.value)}.`,
            advice: levelAll,
          },
        ],
        skipped,
      };
    }
    const wide = middleRange(values);
    if (exposure.groups.length === 0 && wide >= limits.drift.value) {
      return {
        findings: [
          {
            about: "set",
            severity: "note",
            photos: [],
            measured: measure(wide, "stops"),
            limit: limits.drift,
            message: `The brightness of the same surface drifts by ${inStops(wide)} over the set, no photo far from the rest.`,
            advice: "A reconstruction evens this out; next time lock the exposure before the first photo.",
          },
        ],
        skipped,
      };
    }
    const order = facts.photos.map(({ file }) => file);
    return {
      findings: exposure.groups.map((group: Group) => {
        const [stops] = group.values;
        const { subject, verb, object } = namesOf(group.files, order);
        return {
          about: "photo",
          severity: "edit",
          photos: group.files,
          measured: measure(stops, "stops"),
          limit: limits.step,
          message: `${subject} ${verb} ${inStops(stops)} ${stops > 0 ? "brighter" : "darker"} than the rest of the set, on the same surface.`,
          advice: `Make ${object} ${inStops(stops)} ${stops > 0 ? "darker" : "brighter"} in a photo editor before the upload.`,
        };
      }),
      skipped,
    };
  },
});

/** What to do where no few instructions say it. */
export const levelAll =
  "Have the whole set levelled: goodgate ready --level writes levelled copies; the JSON report gives what to multiply each photo's linear red, green and blue by (redGain, greenGain, blueGain). Next time lock exposure and white balance before the first photo.";

/** How many photos are further off than is reported; the limit as it is, not rounded. */
export function offBy(photos: number, limitStops: number): string {
  const limit = `${limitStops} ${limitStops === 1 ? "stop" : "stops"}`;
  return `${photos} ${photos === 1 ? "photo is" : "photos are"} off by ${limit} and more`;
}

/** Why a photo that seems off is not accused. */
export const contradicted = "the pairs it is in do not agree on it";
