import { type Motion, motionBetween } from "../geometry/essential.js";
import { DisjointSets } from "../parts.js";
import { upperMedian } from "../statistics.js";
import type { Intrinsics } from "./intrinsics.js";
import { type AroundPair, type AroundPhoto, isLink, posed, posedAs } from "./solved-set.js";
import { linksWithin, type Shared, sharedMatches, solveWindow, type Window, windowFrom } from "./windows.js";

/** Motions that windows give a pair, at most. */
const MOST_MOTIONS = 3;
/** Links of a photo that windows must tell, its strongest: two to either side of a ring. */
const CLOSEST = 4;
/** A window that fits so many times worse than usual came to rest beside the truth. */
const STRAY = 1.3;

/**
 * Pairs with the poses that windows of neighbouring photos give them: what two narrow views leave open, how far the camera
 * turned, three and more tell. Pairs that are in no sound window keep the pose that their own matches give.
 *
 * @returns only pairs that are links.
 */
export function posesOfWindows(
  photos: readonly AroundPhoto[],
  pairs: readonly AroundPair[],
  cameras: readonly Intrinsics[],
): AroundPair[] {
  const links = pairs.filter(isLink).map((pair) => posed(photos, pair, cameras));
  const solved = windowsOver(photos.length, links).flatMap((window) => {
    const own = linksWithin(window, links);
    const bundle = solveWindow(
      window.map((photo) => photos[photo]),
      own,
      window.map((photo) => cameras[photo]),
    );
    return bundle ? [{ window, own, bundle }] : [];
  });
  const usual = upperMedian(solved.map(({ bundle }) => bundle.residual));
  const motions = new Map<string, Motion[]>();
  for (const { window, own, bundle } of solved) {
    if (bundle.residual > STRAY * usual) continue;
    for (const { i, j } of own) {
      const key = pairKey(window[i], window[j]);
      motions.set(key, [...(motions.get(key) ?? []), motionBetween(bundle.cameras[i], bundle.cameras[j])]);
    }
  }
  return links.map((link) => {
    const own = motions.get(pairKey(link.i, link.j));
    return own ? posedAs(photos, link, cameras, own.slice(0, MOST_MOTIONS)) : link;
  });
}

/** Windows that hold the strongest links of every photo, and hang together. */
function windowsOver(count: number, links: readonly AroundPair[]): Window[] {
  const shared = sharedMatches(count, links);
  const inside: Set<number>[] = Array.from({ length: count }, () => new Set());
  const joined = new DisjointSets(count);
  const windows: Window[] = [];
  const order = [...links].sort((p, q) => q.inliers.length - p.inliers.length || p.i - q.i || p.j - q.j);
  const close = order.filter(({ i, j }) => isClosest(i, j, shared) || isClosest(j, i, shared));
  const cover = ({ i, j }: AroundPair): void => {
    const window = windowFrom([i, j], shared);
    if (!window) return;
    windows.push(window);
    for (const a of window)
      for (const b of window) {
        if (!shared[a].has(b)) continue;
        inside[a].add(b);
        joined.join(a, b);
      }
  };
  for (const link of close) {
    const { i, j } = link;
    if (!inside[i].has(j)) cover(link);
  }
  for (const link of order) if (joined.find(link.i) !== joined.find(link.j)) cover(link);
  return windows;
}

/** Whether j is one of the photos that share most with i. */
function isClosest(i: number, j: number, shared: Shared): boolean {
  const matches = shared[i].get(j) ?? 0;
  return [...shared[i].values()].filter((other) => other > matches).length < CLOSEST;
}

function pairKey(i: number, j: number): string {
  return `${Math.min(i, j)} ${Math.max(i, j)}`;
}
