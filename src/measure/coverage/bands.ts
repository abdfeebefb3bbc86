import type { BandName } from "../../types/around.js";

/**
 * Lower border of each height band, degrees of elevation. Common practice asks for three heights and a look from above;
 * the borders are this project's choice. Whoever holds a phone level with a subject on a table sees it from -30 degrees at
 * the least: from further below one sees the underside of what was laid over, or hangs.
 */
const BAND_BORDERS: readonly { readonly name: BandName; readonly fromDeg: number }[] = [
  { name: "below", fromDeg: -90 },
  { name: "low", fromDeg: -30 },
  { name: "middle", fromDeg: 15 },
  { name: "high", fromDeg: 40 },
  { name: "overhead", fromDeg: 65 },
];

export const BAND_NAMES: readonly BandName[] = BAND_BORDERS.map(({ name }) => name);

/** Band of an elevation taken alone. */
export function bandOf(elevationDeg: number): BandName {
  let found: BandName = "below";
  for (const { name, fromDeg } of BAND_BORDERS) if (elevationDeg >= fromDeg) found = name;
  return found;
}

/** A photo closer to a border than this goes with the photos taken at its height. */
const NEAR_BORDER_DEG = 5;
const WINDOW_DEG = 6;
const SHIFTS = 20;

/**
 * Band of each photo. A walk held at one height wavers by some degrees; where that height lies on a border, the photos
 * would fall into two bands and tear holes into both. So a photo near a border takes the band of the height around
 * which its neighbours gather (mean shift over elevation).
 */
export function bandsOf(elevationsDeg: readonly number[]): BandName[] {
  return elevationsDeg.map((elevation) => {
    const near = BAND_BORDERS.some(({ fromDeg }) => Math.abs(elevation - fromDeg) < NEAR_BORDER_DEG);
    return bandOf(near ? gatheringHeight(elevation, elevationsDeg) : elevation);
  });
}

function gatheringHeight(start: number, elevations: readonly number[]): number {
  let at = start;
  for (let shift = 0; shift < SHIFTS; shift++) {
    let sum = 0;
    let count = 0;
    for (const elevation of elevations) {
      if (Math.abs(elevation - at) > WINDOW_DEG) continue;
      sum += elevation;
      count++;
    }
    if (count === 0) return at;
    const next = sum / count;
    if (Math.abs(next - at) < 1e-6) return next;
    at = next;
  }
  return at;
}
