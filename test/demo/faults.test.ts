import { describe, expect, test } from "vitest";
import {
  convolve,
  defocus,
  develop,
  discTaps,
  encodeSrgb,
  gaussianBlur,
  type LinearImage,
  motionBlur,
  motionTaps,
  phoneNoise,
  pxFrom1920,
  scaleChannels,
} from "#goodgate/demo/faults.js";
import { decodeSrgb, lineariseRgb, stepExposure } from "../support/linear.js";

function flat(width: number, height: number, value: number): LinearImage {
  return { width, height, data: new Float32Array(3 * width * height).fill(value) };
}

/** One bright pixel in the middle of a black picture of odd size. */
function impulse(size: number): LinearImage {
  const image = flat(size, size, 0);
  image.data.fill(1, 3 * ((size * size - 1) / 2), 3 * ((size * size - 1) / 2) + 3);
  return image;
}

/** Sum, standard deviations along x and y and covariance of the green channel about the middle. */
function spread(image: LinearImage): { sum: number; x: number; y: number; xy: number } {
  const middle = (image.width - 1) / 2;
  let sum = 0;
  let xx = 0;
  let yy = 0;
  let xy = 0;
  for (let y = 0; y < image.height; y++) {
    for (let x = 0; x < image.width; x++) {
      const value = image.data[3 * (y * image.width + x) + 1];
      sum += value;
      xx += value * (x - middle) ** 2;
      yy += value * (y - middle) ** 2;
      xy += value * (x - middle) * (y - middle);
    }
  }
  return { sum, x: Math.sqrt(xx / sum), y: Math.sqrt(yy / sum), xy: xy / sum };
}

describe("blur", () => {
  test.each([0.7, 2, 3.5])(
    "a Gaussian of sigma %f px spreads an impulse by that much and keeps its light",
    (sigma) => {
      const { sum, x, y } = spread(gaussianBlur(impulse(61), sigma));
      expect(sum).toBeCloseTo(1, 5);
      expect(x).toBeCloseTo(sigma, 2);
      expect(y).toBeCloseTo(sigma, 2);
    },
  );

  test.each([1, 2, 4])("a disc of sigma %f px spreads an impulse by that much", (sigma) => {
    const { sum, x, y } = spread(defocus(impulse(61), sigma, "disc"));
    expect(sum).toBeCloseTo(1, 5);
    // Cutting the disc into pixels adds the variance of one pixel, 1/12.
    expect(x).toBeCloseTo(Math.sqrt(sigma ** 2 + 1 / 12), 1);
    expect(y).toBeCloseTo(x, 5);
  });

  test("a disc reaches 2 sigma and no further", () => {
    const reach = Math.max(...discTaps(3).map((tap) => Math.hypot(tap.x, tap.y)));
    expect(reach).toBeGreaterThanOrEqual(6);
    expect(reach).toBeLessThan(6.8);
  });

  test("motion along x of 12 px has the spread of an even line of 12 px, and none along y", () => {
    const { sum, x, y } = spread(motionBlur(impulse(61), 12, 0));
    expect(sum).toBeCloseTo(1, 5);
    // A line of length L has variance L^2 / 12; drawing it between pixels adds 1/6.
    expect(x).toBeCloseTo(Math.sqrt(144 / 12 + 1 / 6), 2);
    expect(y).toBeCloseTo(0, 5);
  });

  test("motion at 45 degrees runs down to the right", () => {
    const { x, y, xy } = spread(motionBlur(impulse(61), 12, 45));
    expect(x).toBeCloseTo(y, 4);
    expect(xy).toBeCloseTo(144 / 24, 1);
  });

  test("motion weights add up to 1", () => {
    expect(motionTaps(9, 33).reduce((sum, tap) => sum + tap.weight, 0)).toBeCloseTo(1, 9);
  });

  test("a flat picture stays flat to its edges", () => {
    for (const image of [gaussianBlur(flat(9, 7, 0.3), 2), motionBlur(flat(9, 7, 0.3), 20, 70)]) {
      for (const value of image.data) expect(value).toBeCloseTo(0.3, 5);
    }
  });

  test("a tap at (1, 0) takes from the pixel to the right, and repeats the edge", () => {
    const image: LinearImage = { width: 3, height: 1, data: Float32Array.of(1, 1, 1, 2, 2, 2, 4, 4, 4) };
    expect([...convolve(image, [{ x: 1, y: 0, weight: 1 }]).data]).toEqual([2, 2, 2, 4, 4, 4, 4, 4, 4]);
  });

  test("lengths are given for a long edge of 1920 px", () => {
    expect(pxFrom1920(3, { width: 960, height: 720 })).toBe(1.5);
    expect(pxFrom1920(3, { width: 1200, height: 1600 })).toBe(2.5);
  });
});

describe("exposure and colour", () => {
  test("one stop doubles linear light", () => {
    expect(stepExposure(flat(2, 2, 0.2), 1).data[0]).toBeCloseTo(0.4, 6);
    expect(stepExposure(flat(2, 2, 0.2), -1).data[0]).toBeCloseTo(0.1, 6);
  });

  test("a step of one stop is one stop in the finished picture", () => {
    const seen = (stops: number): number => {
      const rgb = develop(stepExposure(flat(64, 64, 0.2), stops), phoneNoise(125), 1);
      const linear = lineariseRgb(rgb).data;
      return linear.reduce((sum, value) => sum + value, 0) / linear.length;
    };
    expect(Math.log2(seen(1) / seen(0))).toBeCloseTo(1, 2);
  });

  test("a colour cast leaves green alone", () => {
    const { data } = scaleChannels(flat(1, 1, 0.2), { red: 1, green: 0, blue: -1 });
    expect(data[0]).toBeCloseTo(0.4, 6);
    expect(data[1]).toBeCloseTo(0.2, 6);
    expect(data[2]).toBeCloseTo(0.1, 6);
  });
});

describe("the end of the chain", () => {
  test("sRGB figures agree with IEC 61966-2-1", () => {
    expect(decodeSrgb(10)).toBeCloseTo(0.003035, 6);
    expect(decodeSrgb(128)).toBeCloseTo(0.215861, 6);
    expect(encodeSrgb(0.18) / 255).toBeCloseTo(0.461356129500442, 12);
  });

  test("without noise every 8-bit value comes back", () => {
    const data = Float32Array.from({ length: 768 }, (_, i) => decodeSrgb(Math.floor(i / 3)));
    const rgb = develop({ width: 256, height: 1, data }, { shot: 0, read: 0 }, 1);
    expect([...rgb.data]).toEqual(Array.from({ length: 768 }, (_, i) => Math.floor(i / 3)));
  });

  test("light above white clips at 255 and below black at 0", () => {
    const image: LinearImage = { width: 1, height: 1, data: Float32Array.of(1.7, -0.1, 1) };
    expect([...develop(image, { shot: 0, read: 0 }, 1).data]).toEqual([255, 0, 255]);
  });

  test.each([
    [0.18, { shot: 2e-4, read: 0 }],
    [0.18, { shot: 0, read: 0.006 }],
    [0.5, { shot: 1e-4, read: 0.004 }],
  ])("noise at level %f has the stated standard deviation", (level, noise) => {
    const { data } = lineariseRgb(develop(flat(256, 256, level), noise, 5));
    const mean = data.reduce((sum, value) => sum + value, 0) / data.length;
    const variance = data.reduce((sum, value) => sum + (value - mean) ** 2, 0) / data.length;
    const stated = Math.sqrt(noise.shot * level + noise.read ** 2);
    expect(mean).toBeCloseTo(level, 3);
    // Within 3 %: rounding to 8 bits adds 1/12 of a squared code value, under 2 % here.
    expect(Math.abs(Math.sqrt(variance) / stated - 1)).toBeLessThan(0.03);
  });

  test("neighbouring noise is unrelated, also between channels", () => {
    const { data } = lineariseRgb(develop(flat(256, 256, 0.3), { shot: 1e-4, read: 0 }, 9));
    const mean = data.reduce((sum, value) => sum + value, 0) / data.length;
    const related = (lag: number): number => {
      let product = 0;
      let square = 0;
      for (let i = 0; i + lag < data.length; i++) {
        product += (data[i] - mean) * (data[i + lag] - mean);
        square += (data[i] - mean) ** 2;
      }
      return product / square;
    };
    // 196,608 values: the correlation of independent ones has a standard deviation of 0.0023.
    for (const lag of [1, 2, 3, 6, 768]) expect(Math.abs(related(lag))).toBeLessThan(0.01);
  });

  test("the same seed gives the same noise, another seed another", () => {
    const image = flat(32, 32, 0.3);
    const noise = phoneNoise(400);
    expect(develop(image, noise, 3).data).toEqual(develop(image, noise, 3).data);
    expect(develop(image, noise, 3).data).not.toEqual(develop(image, noise, 4).data);
  });
});
