import type { Blob } from "./keypoints.js";

/**
 * Takes at most `limit` blobs, strongest first, spread over square buckets so that a busy corner does not take
 * them all: in each round every bucket gives its strongest one left, until the limit is reached; where the last
 * round holds more than fit, the strongest go in.
 *
 * @param bucketPx side of a bucket, px of the pyramid's base
 * @returns strongest first; ties keep scan order
 */
export function spreadBlobs(blobs: readonly Blob[], limit: number, bucketPx: number): Blob[] {
  const strength = (blob: Blob) => Math.abs(blob.response);
  const order = [...blobs].sort((p, q) => strength(q) - strength(p));
  if (order.length <= limit) return order;
  const taken = new Map<number, number>();
  const rounds: Blob[][] = [];
  for (const blob of order) {
    const bucket = Math.floor(blob.y / bucketPx) * 65536 + Math.floor(blob.x / bucketPx);
    const round = taken.get(bucket) ?? 0;
    taken.set(bucket, round + 1);
    if (round === rounds.length) rounds.push([]);
    rounds[round].push(blob);
  }
  const kept: Blob[] = [];
  for (const round of rounds) {
    for (const blob of round.slice(0, limit - kept.length)) kept.push(blob);
    if (kept.length >= limit) break;
  }
  return kept.sort((p, q) => strength(q) - strength(p));
}
