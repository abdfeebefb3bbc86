import { describe, expect, it } from "vitest";
import type { Blob } from "#goodgate/measure/features/keypoints.js";
import { spreadBlobs } from "#goodgate/measure/features/spread.js";

const blob = (x: number, y: number, response: number): Blob => ({
  x,
  y,
  sigma: 2,
  response,
  octave: 0,
  place: 1,
});

describe("spreading keypoints", () => {
  it("keeps all where they fit, strongest first, dark or bright", () => {
    const kept = spreadBlobs([blob(1, 1, 0.1), blob(2, 2, -0.3), blob(3, 3, 0.2)], 5, 64);
    expect(kept.map((b) => b.response)).toEqual([-0.3, 0.2, 0.1]);
  });

  it("gives three quarters to the strongest and the rest to empty buckets", () => {
    // By hand: eight places; the six strongest all lie in the busy bucket, the two left go to the two plain ones.
    const busy = Array.from({ length: 20 }, (_, k) => blob(10 + k, 10, 1 - 0.01 * k));
    const plain = [blob(100, 10, 0.02), blob(10, 100, 0.01)];
    const kept = spreadBlobs([...plain, ...busy], 8, 64);
    expect(kept.map((b) => b.response)).toEqual([1, 0.99, 0.98, 0.97, 0.96, 0.95, 0.02, 0.01]);
  });
});
