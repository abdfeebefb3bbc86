import { expect, test } from "vitest";
import { cropUpright, turnUpright } from "#goodgate/measure/photo/upright.js";

const WIDTH = 7;
const HEIGHT = 5;
const image = {
  width: WIDTH,
  height: HEIGHT,
  data: Uint8Array.from({ length: 3 * WIDTH * HEIGHT }, (_, i) => i),
};

test.each([1, 2, 3, 4, 5, 6, 7, 8])(
  "a piece of a photo of orientation %d is that piece of the turned photo",
  (orientation) => {
    const whole = turnUpright(image, orientation);
    const piece = { left: 1, top: 2, width: 3, height: 2 };
    const { data } = cropUpright(image, orientation, piece);
    for (let y = 0; y < piece.height; y++)
      for (let x = 0; x < piece.width; x++) {
        const from = 3 * ((piece.top + y) * whole.width + piece.left + x);
        expect(data.slice(3 * (y * piece.width + x)).slice(0, 3)).toEqual(whole.data.slice(from, from + 3));
      }
  },
);
