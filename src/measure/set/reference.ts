import { median } from "../statistics.js";

/**
 * The largest block of photos that agree: of all places, the one with the most photos within `reach` of it in every value.
 * Where a third of a set is brighter than the rest, the rest is the block; a median would lie between them as soon as the
 * halves are even.
 *
 * @param points one a photo, all of one length; undefined ones take no part
 * @param usable whether a photo may stand for the set; where fewer than FEWEST_USABLE may, all may
 * @param reach > 0, in the unit of the values
 * @returns the median of each value over the block; undefined without points
 */
export function largestBlock(
  points: readonly (readonly number[] | undefined)[],
  usable: readonly boolean[],
  reach: number,
): number[] | undefined {
  const known = points.flatMap((point, i) => (point === undefined ? [] : [{ point, usable: usable[i] }]));
  if (known.length === 0) return undefined;
  const fit = known.filter((photo) => photo.usable);
  const members = (fit.length < FEWEST_USABLE ? known : fit).map(({ point }) => point);
  const middle = middleOf(members);
  const away = (point: readonly number[]): number =>
    Math.max(...point.map((v, k) => Math.abs(v - middle[k])));
  let best = { near: [] as (readonly number[])[], away: Number.POSITIVE_INFINITY };
  for (const centre of members) {
    const near = members.filter((point) => point.every((v, k) => Math.abs(v - centre[k]) <= reach));
    // Of equal blocks the one nearest to the middle of all: then the least is to be changed.
    const closer = near.length === best.near.length && away(centre) < best.away;
    if (near.length > best.near.length || closer) best = { near, away: away(centre) };
  }
  return middleOf(best.near);
}

/** With fewer photos than this that hold their highlights, the others have to stand for the set too. */
const FEWEST_USABLE = 3;

function middleOf(points: readonly (readonly number[])[]): number[] {
  return points[0].map((_, k) => median(points.map((point) => point[k])));
}
