import { expect, test } from "vitest";
import { sharedSpots } from "#goodgate/measure/subject/shared-spots.js";
import type { Features } from "#goodgate/types/photo.js";

/** Keypoints of a picture of 100 x 50 px at these places. */
const features = (...places: [number, number][]) =>
  ({
    count: places.length,
    widthPx: 100,
    heightPx: 50,
    x: Float32Array.from(places, ([x]) => x),
    y: Float32Array.from(places, ([, y]) => y),
  }) as unknown as Features;
/** The subject in the right half, or nowhere. */
const region = (there: boolean) => ({
  columns: 2,
  rows: 1,
  share255: Uint8Array.of(0, there ? 255 : 0),
  confidence: 1,
  source: "geometry" as const,
});
const photos = [
  features([9.5, 9.5], [59.5, 19.5], [69.5, 24.5], [89.5, 39.5]),
  features([0, 0], [60, 10], [79.5, 29.5], [70, 20]),
];
const matches = [0, 0, 1, 1, 2, 2, 3, 3];
const spots = (there: boolean, inliers: readonly number[]) =>
  sharedSpots((k) => photos[k]!, [region(there), region(there)], [{ i: 0, j: 1, inliers }]);

test("the spot is the match on the subject nearest to their middle, in both photos", () => {
  const [spot] = spots(true, matches);
  for (const [k, share] of [0.7, 0.5, 0.8, 0.6].entries()) expect(spot![k]).toBeCloseTo(share, 6);
});

test("where nothing on the subject is matched it is one of all matches, and none without any", () => {
  expect(spots(false, matches)[0]).toBeDefined();
  expect(spots(true, [])).toEqual([undefined]);
});
