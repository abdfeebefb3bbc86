import { describe, expect, it } from "vitest";
import { measureLaplacian } from "#goodgate/measure/photo/laplacian.js";
import { grey, noisePicture } from "../../support/arrays.js";
import { openCv } from "../../support/opencv.js";

describe("variance of the Laplacian", () => {
  it("is 0 for a flat photo and for a ramp", () => {
    expect(measureLaplacian(grey(16, 16, () => 90)).variance).toBe(0);
    // The mirrored edge of a ramp is no ramp: only the inside is.
    const ramp = measureLaplacian(grey(60, 48, (x) => 2 * x));
    expect(ramp.tileVariance[1 * 12 + 5]).toBe(0);
  });

  it("by hand: one bright pixel in a black 5 x 5 picture", () => {
    // Responses: -4 v once, +v four times, 0 elsewhere; mean 0.
    const { variance } = measureLaplacian(grey(5, 5, (x, y) => (x === 2 && y === 2 ? 10 : 0)));
    expect(variance).toBeCloseTo((16 * 100 + 4 * 100) / 25, 12);
  });

  it("equals the general-purpose library's on the same grey array (opencv-js 4.5, relative 1e-9)", async () => {
    const { cv } = await openCv();
    for (const [width, height, seed] of [
      [64, 48, 1],
      [37, 91, 2],
      [200, 3, 3],
    ] as const) {
      const picture = noisePicture(width, height, 128, 40, seed);
      const source = cv.matFromArray(height, width, cv.CV_8UC1, Array.from(picture.data));
      const out = new cv.Mat();
      cv.Laplacian(source, out, cv.CV_64F, 1, 1, 0, cv.BORDER_DEFAULT);
      const mean = new cv.Mat();
      const deviation = new cv.Mat();
      cv.meanStdDev(out, mean, deviation);
      const expected = deviation.doubleAt(0, 0) ** 2;
      const ours = measureLaplacian(picture).variance;
      expect(Math.abs(ours / expected - 1)).toBeLessThan(1e-9);
      for (const mat of [source, out, mean, deviation]) mat.delete();
    }
  });

  it("is 20 sigma^2 for white noise (sum of the squared kernel: 4 + 16)", () => {
    const { variance } = measureLaplacian(noisePicture(600, 600, 128, 10, 7));
    expect(variance / 2000).toBeGreaterThan(0.98);
    expect(variance / 2000).toBeLessThan(1.02);
  });

  it("falls under a Gaussian of sigma 1 to 1/179 on white noise", () => {
    // Ratio [20 - 32 e^(-1/4s^2) + 8 e^(-1/2s^2) + 4 e^(-1/s^2)] / (20 * 4 pi s^2), derived from the kernel's
    // autocorrelation; exact sampled kernel cut at 4 sigma: .0055927.
    const noise = noisePicture(500, 500, 128, 30, 11);
    const taps = Float64Array.from({ length: 9 }, (_, i) => Math.exp(-((i - 4) ** 2) / 2));
    const sum = taps.reduce((a, b) => a + b, 0);
    const before = measureLaplacian(noise).variance;
    // Scaled up so that rounding to 8 bits (variance 1/12, gain 20) does not fill the small result.
    const blurred = blurFloat(
      noise.data,
      500,
      500,
      taps.map((t) => t / sum),
    );
    const scaled = grey(500, 500, (x, y) => 128 + 8 * (blurred[y * 500 + x] - 128));
    const after = measureLaplacian(scaled).variance / 64 - 20 / 12 / 64;
    expect(after / before / 0.0055927).toBeGreaterThan(0.95);
    expect(after / before / 0.0055927).toBeLessThan(1.05);
  });

  it("refuses a picture under 3 px", () => {
    expect(() => measureLaplacian(grey(2, 9, () => 0))).toThrow(/at least 3 x 3 px, found 2 x 9/);
  });
});

describe("Immerkaer's noise (1996, CVIU 64:300)", () => {
  const whole = (picture: ReturnType<typeof grey>) =>
    measureLaplacian(picture, {
      columns: 1,
      rows: 1,
      xs: Int32Array.of(0, picture.width),
      ys: Int32Array.of(0, picture.height),
    }).tileNoise[0];

  it("is 0 for f(x) + g(y)", () => {
    expect(whole(grey(40, 30, (x, y) => x * x * 0.05 + 3 * (y % 7)))).toBeCloseTo(0, 12);
  });

  it("gives 3.342171 for a checkerboard of +-1 (computed: 16 sqrt(pi / 2) / 6)", () => {
    expect(whole(grey(20, 20, (x, y) => 100 + ((x + y) % 2 === 0 ? 1 : -1)))).toBeCloseTo(3.342171, 5);
  });

  it("gives .0522214 for a unit impulse in 10 x 10", () => {
    expect(whole(grey(10, 10, (x, y) => (x === 5 && y === 5 ? 1 : 0)))).toBeCloseTo(0.0522214, 6);
  });

  it("gives sigma for white noise of sigma 10 within 1 %", () => {
    expect(whole(noisePicture(800, 800, 128, 10, 5)) / 10).toBeGreaterThan(0.99);
    expect(whole(noisePicture(800, 800, 128, 10, 5)) / 10).toBeLessThan(1.01);
  });
});

function blurFloat(data: Uint8Array, width: number, height: number, taps: Float64Array): Float64Array {
  const radius = (taps.length - 1) / 2;
  const pass = (from: Float64Array, dx: number, dy: number) => {
    const out = new Float64Array(from.length);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        for (let k = -radius; k <= radius; k++) {
          const u = (x + k * dx + width) % width;
          const v = (y + k * dy + height) % height;
          out[y * width + x] += taps[k + radius] * from[v * width + u];
        }
      }
    }
    return out;
  };
  return pass(pass(Float64Array.from(data), 1, 0), 0, 1);
}
