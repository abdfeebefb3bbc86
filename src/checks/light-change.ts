import { median } from "../measure/statistics.js";
import type { Facts, PhotoFacts } from "../types/facts.js";
import { defineCheck, inStops, limit, measure } from "./define.js";
import { exposureSpread } from "./exif.js";
import { levelledSet } from "./levelled-set.js";

export const lightChange = defineCheck({
  id: "light-change",
  title: "light that changed during the shoot",
  serves: "even-exposure",
  measures:
    "The largest step in time of the brightness and colour of the surface that photos share, the exposure that EXIF states taken out: medians of up to six photos before and after it. Colour only where the white balance was fixed. A note where the exposure was not fixed, and where exposure-step puts it right; nothing where the surface itself looks alike before and after. What changes with direction is no step in time, since the same surface is compared.",
  why: "A lamp that went out or a cloud before the sun leaves a seam in the model, and shadows that contradict each other.",
  advice: "Shoot the set in one go under the same light; brighten the darker part in a photo editor.",
  needs: ["other photos", "camera settings"],
  limits: {
    step: limit(
      0.25,
      "stops",
      "over what sets under one light show (0.02 at the most) and under one of two lamps that went out (0.34 at the least): docs/evaluation-light.md",
    ),
    fixed: limit(
      0.34,
      "stops",
      "spread of the exposure value that still counts as fixed: a camera's smallest step, 1/3 stop; our choice",
    ),
    colour: limit(
      0.25,
      "stops",
      "about where a change of white balance shows, as in colour-cast; our choice",
    ),
  },
  judge(facts, limits) {
    const step = facts.light?.step;
    if (step === undefined) return { findings: [], skipped: [{ photos: [], reason: whyNot }] };
    const { before, after, stops, redStops = 0, blueStops = 0 } = step;
    const colour = Math.abs(redStops) > Math.abs(blueStops) ? redStops : blueStops;
    const inLight = Math.abs(stops) >= limits.step.value;
    const unseen = inLight && Math.abs(seenStep(facts, before, after)) < limits.step.value;
    if (unseen || (!inLight && Math.abs(colour) < limits.colour.value)) return { findings: [], skipped: [] };
    // A camera that exposes anew may also brighten each picture anew, which EXIF does not tell; and a step that
    // exposure-step finds is put right there.
    const { groups, wandering } = levelledSet(facts, {}).exposure;
    const reported = inLight && groups.length + wandering.length > 0;
    return {
      findings: [
        {
          about: "between",
          severity: isFixed(facts, limits.fixed.value) && !reported ? "edit" : "note",
          photos: [before, after],
          measured: measure(inLight ? stops : colour, "stops"),
          limit: inLight ? limits.step : limits.colour,
          message: inLight
            ? `The light changed between ${before} and ${after}: from there on the same surface is ${inStops(stops)} ${stops > 0 ? "brighter" : "darker"} than the camera's settings explain.`
            : `The light changed its colour between ${before} and ${after}, with the white balance fixed.`,
          advice:
            "Match the photos after it to those before in a photo editor; where a lamp went out or the sun came round, shadows differ too, and the smaller part is better taken again.",
        },
      ],
      skipped: [],
    };
  },
});

/** Photos on each side that a step is seen in, as where it was found. */
const REACH = 6;

/**
 * How much brighter the shared surface itself is after a step. Where it is no brighter, exposure or an editor has made up
 * for what the lamps did, and nothing is left to put right.
 */
function seenStep({ photos }: Facts, before: string, after: string): number {
  const at = photos.findIndex(({ file }) => file === after);
  const seen = (some: readonly PhotoFacts[]): number[] =>
    some.flatMap(({ measures }) => measures.exposureOffsetStops?.value ?? []);
  const last = photos.findIndex(({ file }) => file === before);
  const earlier = seen(photos.slice(0, last + 1)).slice(-REACH);
  const later = seen(photos.slice(at)).slice(0, REACH);
  return earlier.length === 0 || later.length === 0 ? 0 : median(later) - median(earlier);
}

function isFixed({ photos }: Facts, most: number): boolean {
  return (exposureSpread(photos) ?? 0) <= most;
}

const whyNot = "EXIF does not tell the exposure of enough photos that share some surface";
