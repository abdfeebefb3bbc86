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
  // Keypoints of all photos, numbered one after another.
  const offset = new Int32Array(keypoints.length + 1);
  keypoints.forEach((count, i) => {
    offset[i + 1] = offset[i] + count;
  });
  const sets = new DisjointSets(offset[keypoints.length]);
  for (const { i, j, inliers } of links) {
    for (let k = 0; k < inliers.length; k += 2) sets.join(offset[i] + inliers[k], offset[j] + inliers[k + 1]);
  }
  const chains = membersOf(sets, offset, links);
  const chosen = choose(longestFirst(chains, keypoints.length), chains, keypoints.length, perPhoto);
  const start = new Int32Array(chosen.length + 1);
  chosen.forEach((chain, p) => {
    start[p + 1] = start[p] + chains.start[chain + 1] - chains.start[chain];
  });
  const photo = new Int32Array(start[chosen.length]);
  const keypoint = new Int32Array(start[chosen.length]);
  chosen.forEach((chain, p) => {
    for (let k = start[p], from = chains.start[chain]; k < start[p + 1]; k++, from++) {
      photo[k] = chains.photo[from];
      keypoint[k] = chains.keypoint[from];
    }
  });
  return { count: chosen.length, start, photo, keypoint };
}

/** All chains in the order in which the links first name them, wrong ones too. */
function membersOf(sets: DisjointSets, offset: Int32Array, links: readonly TrackLink[]): Tracks {
  const nodes = offset[offset.length - 1];
  const chainOf = new Int32Array(nodes).fill(-1);
  let count = 0;
  for (const { i, inliers } of links) {
    for (let k = 0; k < inliers.length; k += 2) {
      const root = sets.find(offset[i] + inliers[k]);
      if (chainOf[root] === -1) chainOf[root] = count++;
    }
  }
  const start = new Int32Array(count + 1);
  for (let node = 0; node < nodes; node++) {
    chainOf[node] = chainOf[sets.find(node)];
    if (chainOf[node] >= 0) start[chainOf[node] + 1]++;
  }
  for (let chain = 0; chain < count; chain++) start[chain + 1] += start[chain];
  const next = start.slice();
  const photo = new Int32Array(start[count]);
  const keypoint = new Int32Array(start[count]);
  for (let i = 0; i + 1 < offset.length; i++) {
    for (let node = offset[i]; node < offset[i + 1]; node++) {
      if (chainOf[node] < 0) continue;
      const at = next[chainOf[node]]++;
      photo[at] = i;
      keypoint[at] = node - offset[i];
    }
  }
  return { count, start, photo, keypoint };
}

/** Chains that meet no photo twice, the longest first, equal ones in their order. */
function longestFirst({ count, start, photo }: Tracks, photos: number): number[] {
  const byLength = Array.from({ length: photos + 1 }, (): number[] => []);
  for (let chain = 0; chain < count; chain++) {
    let sound = true;
    for (let k = start[chain] + 1; k < start[chain + 1]; k++) if (photo[k] === photo[k - 1]) sound = false;
    if (sound) byLength[start[chain + 1] - start[chain]].push(chain);
  }
  return byLength.reverse().flat();
}

/** As many of the chains, in their order, as give each photo its share. */
function choose(
  chains: readonly number[],
  { start, photo }: Tracks,
  photos: number,
  perPhoto: number,
): number[] {
  const seen = new Int32Array(photos);
  return chains.filter((chain) => {
    let wanted = false;
    for (let k = start[chain]; k < start[chain + 1]; k++) wanted ||= seen[photo[k]] < perPhoto;
    if (wanted) for (let k = start[chain]; k < start[chain + 1]; k++) seen[photo[k]]++;
    return wanted;
  });
}
