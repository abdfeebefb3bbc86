import { describe, expect, it } from "vitest";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import type { RgbImage } from "#goodgate/types/pixels.js";

const WIDTH = 960;
const HEIGHT = 640;

/** Straight steps across one direction, 40 px apart, each blurred by a Gaussian of `sigmaPx` of this picture. */
function steps(degrees: number, sigmaPx: number, contrast = 120): RgbImage {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const data = new Uint8Array(3 * WIDTH * HEIGHT);
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      // Distance to the nearest step, rising and falling by turns.
      const along = x * c + y * s + 4000;
      const step = Math.round(along / 40);
      const height = 0.5 + 0.5 * Math.tanh((1.6 * (along - 40 * step)) / (2 * sigmaPx));
      const grey = Math.round(60 + contrast * (step % 2 === 0 ? height : 1 - height));
      data.fill(grey, 3 * (y * WIDTH + x), 3 * (y * WIDTH + x) + 3);
    }
  }
  return { width: WIDTH, height: HEIGHT, data };
}

/** Widths are stated at a long edge of 1920 px. */
const AT_1920 = 1920 / WIDTH;

describe("width of edges", () => {
  it.each([
    [0, 0],
    [22.5, 1],
    [45, 2],
    [90, 4],
    [135, 6],
  ])("across %d degrees stands in direction %d, and is that of the blur", (degrees, direction) => {
    for (const sigmaPx of [1.5, 2.5]) {
      const widths = measurePhoto(steps(degrees, sigmaPx), 1).edgeWidthsPx;
      const own = widths[direction]!;
      // The logistic step is close to a Gaussian one, and the sharpest 15 % of edges lie a little under the middle.
      expect(own / (sigmaPx * AT_1920)).toBeGreaterThan(0.75);
      expect(own / (sigmaPx * AT_1920)).toBeLessThan(1.2);
    }
  });

  it("does not hang on contrast", () => {
    const [weak, strong] = [40, 160].map(
      (contrast) => measurePhoto(steps(0, 2, contrast), 1).edgeWidthsPx[0]!,
    );
    expect(Math.abs(weak - strong)).toBeLessThan(0.15 * strong);
  });

  it("grows with blur", () => {
    const widths = [0.5, 0.8, 1.1, 1.5, 1.8].map(
      (sigmaPx) => measurePhoto(steps(0, sigmaPx), 1).edgeWidthsPx[0]!,
    );
    for (let k = 1; k < widths.length; k++) expect(widths[k]!).toBeGreaterThan(widths[k - 1]!);
  });

  it("is not known where a picture is flat, or has edges across other directions only", () => {
    const flat = { width: 200, height: 150, data: new Uint8Array(3 * 200 * 150).fill(90) };
    expect(measurePhoto(flat, 1).edgeWidthsPx).toEqual(new Array(8).fill(null));
    expect(measurePhoto(steps(0, 2), 1).edgeWidthsPx[4]).toBeNull();
  });
});
