import { describe, expect, it } from "vitest";
import { withArena } from "#goodgate/kernels/arena.js";
import { kernels } from "#goodgate/kernels/kernels.js";
import { gaussianHalfKernel } from "#goodgate/measure/features/blur.js";

function blurred(
  width: number,
  height: number,
  sigma: number,
  value: (x: number, y: number) => number,
): Float32Array {
  const source = Float32Array.from({ length: width * height }, (_, i) =>
    value(i % width, Math.floor(i / width)),
  );
  const half = gaussianHalfKernel(sigma);
  return withArena((arena) => {
    const from = arena.copy(source);
    const weights = arena.copy(half);
    const line = arena.take(4 * (width + 2 * half.length));
    const out = arena.take(4 * width * height);
    for (let y = 0; y < height; y++) {
      kernels().blurRow(from, width, height, y, weights, half.length - 1, line, out + 4 * y * width);
    }
    return arena.f32(out, width * height).slice();
  });
}

describe("Gaussian blur", () => {
  it("has a kernel that sums to 1 and falls as exp(-k^2 / 2 sigma^2)", () => {
    for (const sigma of [0.5, 1.2, 3.1]) {
      const half = gaussianHalfKernel(sigma);
      const sum = half.reduce((s, w) => s + 2 * w, -half[0]);
      expect(sum).toBeCloseTo(1, 6);
      expect(half[1] / half[0]).toBeCloseTo(Math.exp(-1 / (2 * sigma * sigma)), 6);
    }
  });

  it("leaves a flat image flat, borders included, for every length of kernel", () => {
    for (const sigma of [0.4, 0.8, 1.1, 1.5, 1.8, 2.2, 2.6, 3.2]) {
      for (const value of blurred(13, 9, sigma, () => 0.25)) expect(value).toBeCloseTo(0.25, 6);
    }
  });

  it("spreads a single pixel by the product of two kernels", () => {
    const half = gaussianHalfKernel(1.3);
    const out = blurred(21, 19, 1.3, (x, y) => (x === 10 && y === 9 ? 1 : 0));
    for (let dy = -4; dy <= 4; dy++) {
      for (let dx = -4; dx <= 4; dx++) {
        const expected = (half[Math.abs(dx)] ?? 0) * (half[Math.abs(dy)] ?? 0);
        expect(out[(9 + dy) * 21 + 10 + dx]).toBeCloseTo(expected, 6);
      }
    }
  });

  it("refuses a sigma that is not above 0", () => {
    expect(() => gaussianHalfKernel(0)).toThrow(RangeError);
    expect(() => gaussianHalfKernel(Number.NaN)).toThrow(RangeError);
  });
});
