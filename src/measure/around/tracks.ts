import { DisjointSets } from "../parts.js";

/** Points seen in several photos: observation k is keypoint `keypoint[k]` of photo `photo[k]`, by point, then photo. */
export interface Tracks {
  readonly count: number;
  /** First observation of each point, and the end: count + 1 numbers. */
  readonly start: Int32Array;
  readonly photo: Int32Array;
  readonly keypoint: Int32Array;
}

export interface TrackLink {
  readonly i: number;
  readonly j: number;
  readonly inliers: ArrayLike<number>;
}

/**
 * Chains matches of pairs into points seen in several photos. A chain that meets one photo at two keypoints contains
 * a wrong match and is dropped.
 *
 * @param keypoints number of keypoints of each photo.
 * @param perPhoto photos need about this many points; the points seen most often are taken first, so that few do.
 */
export function tracksOf(
  keypoints: readonly number[],
  links: readonly TrackLink[],
  perPhoto: number,
): Tracks {
  const offset = new Int32Array(keypoints.length + 1);
  keypoints.forEach((count, i) => {
    offset[i + 1] = offset[i] + count;
  });
  const sets = new DisjointSets(offset[keypoints.length]);
  for (const { i, j, inliers } of links) {
    for (let k = 0; k < inliers.length; k += 2) sets.join(offset[i] + inliers[k], offset[j] + inliers[k + 1]);
  }
  const chains = new Map<number, [number, number][]>();
  const taken = new Uint8Array(offset[keypoints.length]);
  const add = (photo: number, keypoint: number): void => {
    const node = offset[photo] + keypoint;
    if (taken[node]) return;
    taken[node] = 1;
    const root = sets.find(node);
    const chain = chains.get(root);
    if (chain) chain.push([photo, keypoint]);
    else chains.set(root, [[photo, keypoint]]);
  };
  for (const { i, j, inliers } of links) {
    for (let k = 0; k < inliers.length; k += 2) {
      add(i, inliers[k]);
      add(j, inliers[k + 1]);
    }
  }
  const sound = [...chains.values()].filter(
    (chain) => new Set(chain.map(([photo]) => photo)).size === chain.length,
  );
  sound.sort((p, q) => q.length - p.length);
  return chosen(sound, keypoints.length, perPhoto);
}

/** Longest chains first, until each photo has its share. */
function chosen(chains: readonly (readonly [number, number])[][], photos: number, perPhoto: number): Tracks {
  const seen = new Int32Array(photos);
  const kept = chains.filter((chain) => {
    if (!chain.some(([photo]) => seen[photo] < perPhoto)) return false;
    for (const [photo] of chain) seen[photo]++;
    return true;
  });
  const start = new Int32Array(kept.length + 1);
  kept.forEach((chain, p) => {
    start[p + 1] = start[p] + chain.length;
  });
  const all = kept.flatMap((chain) => [...chain].sort(([p], [q]) => p - q));
  return {
    count: kept.length,
    start,
    photo: Int32Array.from(all, ([photo]) => photo),
    keypoint: Int32Array.from(all, ([, keypoint]) => keypoint),
  };
}
