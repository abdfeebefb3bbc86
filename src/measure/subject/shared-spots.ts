import type { SharedSpot } from "../../types/pair.js";
import type { Features } from "../../types/photo.js";
import { median } from "../statistics.js";
import { markKeypoints, matchesOn, type OffsetPair } from "./offsets.js";
import type { HeldRegion } from "./region.js";

/**
 * For each pair one spot of surface that both photos show, so that the two can be looked at side by side: of the matches on
 * the subject (of all where none lies on it) the one nearest to their middle in the first photo.
 *
 * @returns one a pair; undefined where nothing is matched
 */
export function sharedSpots(
  featuresOf: (photo: number) => Features,
  regions: readonly HeldRegion[],
  pairs: readonly OffsetPair[],
): readonly (SharedSpot | undefined)[] {
  const marked = markKeypoints(featuresOf, regions);
  return pairs.map(({ i, j, inliers }) => {
    const onSubject = matchesOn(inliers, marked[i], marked[j]);
    return spotOf(featuresOf(i), featuresOf(j), onSubject.length > 0 ? onSubject : inliers);
  });
}

function spotOf(a: Features, b: Features, matches: ArrayLike<number>): SharedSpot | undefined {
  const count = matches.length >> 1;
  if (count === 0) return undefined;
  const x = Float64Array.from({ length: count }, (_, k) => a.x[matches[2 * k]]);
  const y = Float64Array.from({ length: count }, (_, k) => a.y[matches[2 * k]]);
  // The median sorts what it is given.
  const [middleX, middleY] = [median(x.slice()), median(y.slice())];
  let nearest = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < count; k++) {
    const away = Math.hypot(x[k] - middleX, y[k] - middleY);
    if (away < least) [nearest, least] = [k, away];
  }
  const [one, other] = [matches[2 * nearest], matches[2 * nearest + 1]];
  return [...placeIn(a, one), ...placeIn(b, other)];
}

/** Where a keypoint lies, as shares of width and height. */
function placeIn({ x, y, widthPx, heightPx }: Features, keypoint: number): [number, number] {
  return [(x[keypoint] + 0.5) / widthPx, (y[keypoint] + 0.5) / heightPx];
}
