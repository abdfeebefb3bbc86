import type { Blob } from "./keypoints.js";

/** Share of the limit that goes to the strongest blobs wherever they are. */
const STRONGEST_SHARE = 0.75;

/**
 * Takes at most `limit` blobs: three quarters are the strongest wherever they are, since strong blobs are found again
 * in the next photo; the rest goes round after round to the square buckets that hold fewest, so that plain parts of
 * the frame are not left empty beside a busy one.
 *
 * @param bucketPx side of a bucket, px of the pyramid's base
 * @returns strongest first; ties keep scan order
 */
export function spreadBlobs(blobs: readonly Blob[], limit: number, bucketPx: number): Blob[] {
  const order = [...blobs].sort(byStrength);
  if (order.length <= limit) return order;
  const strongest = Math.round(STRONGEST_SHARE * limit);
  const kept = order.slice(0, strongest);
  const taken = new Map<number, number>();
  for (const blob of kept)
    taken.set(bucketOf(blob, bucketPx), (taken.get(bucketOf(blob, bucketPx)) ?? 0) + 1);
  // rounds[k] holds the blobs that would be number k of their bucket, strongest first.
  const rounds: Blob[][] = [];
  for (const blob of order.slice(strongest)) {
    const bucket = bucketOf(blob, bucketPx);
    const round = taken.get(bucket) ?? 0;
    taken.set(bucket, round + 1);
    rounds[round] ??= [];
    rounds[round].push(blob);
  }
  for (const round of rounds) {
    if (kept.length >= limit) break;
    if (round !== undefined) kept.push(...round.slice(0, limit - kept.length));
  }
  return kept.sort(byStrength);
}

function byStrength(p: Blob, q: Blob): number {
  return Math.abs(q.response) - Math.abs(p.response);
}

function bucketOf(blob: Blob, bucketPx: number): number {
  return Math.floor(blob.y / bucketPx) * 65536 + Math.floor(blob.x / bucketPx);
}
