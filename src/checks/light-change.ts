import type { Facts } from "../types/facts.js";
import { defineCheck, inStops, limit, measure } from "./define.js";
import { exposureSpread } from "./exif.js";

export const lightChange = defineCheck({
  id: "light-change",
  title: "light that changed during the shoot",
  serves: "even-exposure",
  measures:
    "The largest step in time of the brightness and colour of the surface that photos share, the exposure that EXIF states taken out: medians of up to six photos before and after it. Colour only where the white balance was fixed. A note only where the exposure was not fixed. What changes with direction is no step in time, since the same surface is compared.",
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
    if (!inLight && Math.abs(colour) < limits.colour.value) return { findings: [], skipped: [] };
    return {
      findings: [
        {
          about: "between",
          // A camera that exposes anew may also brighten each picture anew, which EXIF does not tell.
          severity: isFixed(facts, limits.fixed.value) ? "edit" : "note",
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

function isFixed({ photos }: Facts, most: number): boolean {
  return (exposureSpread(photos) ?? 0) <= most;
}

const whyNot = "EXIF does not tell the exposure of enough photos that share some surface";
