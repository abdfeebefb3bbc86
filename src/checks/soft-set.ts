import { edgeWidthsOfSet } from "../measure/set/edge-blur.js";
import { FEWEST_FOR_SET } from "../measure/set/photos-around.js";
import { median } from "../measure/statistics.js";
import type { Facts } from "../types/facts.js";
import type { Limit, Measure } from "../types/units.js";
import { type Draft, defineCheck, type LimitTable, limit, measure, skippedFor } from "./define.js";
import { edgeLimits } from "./edges.js";
import { knownSubjects, plainTexture, type SubjectLimits, subjectLimits } from "./subject.js";

export const softSet = defineCheck({
  id: "soft-set",
  title: "all photos soft or shaken",
  serves: "sharp-set",
  measures:
    "Width of the sharpest edges across the direction where they are widest, as the set's middle value, in pixels of the photo where it is smaller than 1,920; and fine over mid detail in the sharpest twentieth of each frame's tiles, noise removed: whatever is in focus in a photo is sharp, however plain the rest.",
  why: "Where every photo is soft, none stands out against its neighbours, and the model comes out as a lump.",
  advice: "Wipe the lens, check the focus at full size on the phone, and take the set again.",
  limits: {
    sharpest: limit(
      0.15,
      "times",
      "a Gaussian of sigma 1.5 px, at a long edge of 1,920 px, leaves 0.12 at the most, of sigma 3 px 0.06; the middle values of sharp sets are 0.45 and more: docs/evaluation-gate.md",
    ),
    edge: limit(
      0.97,
      "px at 1920",
      "as the set's middle value: 226 fine photos of four real captures have 0.90 at the most each: docs/evaluation-sharpness.md",
    ),
    edgeOfTextured: limit(
      0.65,
      "px at 1920",
      "enough where the subject is known to have texture, so that wide edges are not its shading: four real captures have 0.54 at the most, a set shaken by 6 px throughout 0.83, one soft by 1.5 px 0.73: docs/evaluation-gate.md",
    ),
    even: edgeLimits.even,
    texture: plainTexture,
    ...subjectLimits,
  },
  rising: ["edgeOfTextured", "edge"],
  judge(facts, limits) {
    const known = facts.photos.filter(({ measures }) => measures.sharpestBandRatio !== undefined);
    const unknown = facts.photos.filter((photo) => !known.includes(photo)).map(({ file }) => file);
    const skipped = skippedFor(unknown, "nothing in the frame has structure");
    const edges = edgesOf(facts);
    const widest = isTextured(facts, limits) ? limits.edgeOfTextured : limits.edge;
    if (edges !== undefined && edges.widestPx >= widest.value) {
      const shaken = edges.narrowestPx < limits.even.value * edges.widestPx;
      const reported = { measured: measure(edges.widestPx, "px at 1920"), limit: widest };
      return { findings: [shaken ? shakenThroughout(reported) : softThroughout(reported)], skipped };
    }
    if (known.length === 0) return { findings: [], skipped };
    const value = median(known.map(({ measures }) => measures.sharpestBandRatio!.value));
    if (value >= limits.sharpest.value) return { findings: [], skipped };
    return {
      findings: [softThroughout({ measured: measure(value, "times"), limit: limits.sharpest })],
      skipped,
    };
  },
});

function isTextured(facts: Facts, limits: SubjectLimits & LimitTable<"texture">): boolean {
  const textures = knownSubjects(facts, limits).flatMap((subject) => subject?.textureRatio?.value ?? []);
  return textures.length >= FEWEST_FOR_SET && median(textures) >= limits.texture.value;
}

/** The set's widest and narrowest direction, px at 1920, or px of the photos where they have fewer: no edge is thinner than those. */
function edgesOf({ photos }: Facts): { widestPx: number; narrowestPx: number } | undefined {
  const widths = edgeWidthsOfSet(photos)?.flatMap((width) => width ?? []) ?? [];
  if (widths.length === 0) return undefined;
  const longEdge = median(photos.map(({ widthPx, heightPx }) => Math.max(widthPx, heightPx)));
  const scale = Math.min(1, longEdge / 1920);
  return { widestPx: scale * Math.max(...widths), narrowestPx: scale * Math.min(...widths) };
}

type Reported = { readonly measured: Measure; readonly limit: Limit };

const whole = { about: "set", severity: "reshoot", whatItIs: "alone", anew: true, photos: [] } as const;

function softThroughout(reported: Reported): Draft {
  return {
    ...whole,
    ...reported,
    message: "The photos are soft throughout: nothing in them is sharp.",
    advice:
      "Wipe the lens, look at one photo at full size, and take the set again with the focus locked on the subject.",
  };
}

function shakenThroughout(reported: Reported): Draft {
  return {
    ...whole,
    ...reported,
    message: "The photos are shaken throughout: their edges are smeared along one direction.",
    advice: "Take the set again with more light and a shorter shutter time, or with the phone on a stand.",
  };
}
