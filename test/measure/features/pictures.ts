import type { GreyImage } from "#goodgate/types/pixels.js";
import { grey, seededRandom } from "../../support/arrays.js";

/** Soft dots of random place, size and brightness on mid grey: a picture full of blobs, at any sub-pixel shift. */
export function dots(
  width: number,
  height: number,
  count: number,
  seed: number,
  shiftX = 0,
  shiftY = 0,
): GreyImage {
  const random = seededRandom(seed);
  const values = new Float64Array(width * height).fill(128);
  for (let k = 0; k < count; k++) {
    const x = random() * width + shiftX;
    const y = random() * height + shiftY;
    const stretch = 0.6 + 0.8 * random();
    const sigma = 1.5 + 4 * random();
    const height_ = (random() < 0.5 ? -1 : 1) * (30 + 60 * random());
    const reach = Math.ceil(4 * sigma);
    for (let py = Math.max(0, Math.floor(y) - reach); py < Math.min(height, y + reach); py++) {
      for (let px = Math.max(0, Math.floor(x) - reach); px < Math.min(width, x + reach); px++) {
        const d = ((px - x) / stretch) ** 2 + ((py - y) * stretch) ** 2;
        values[py * width + px] += height_ * Math.exp(-d / (2 * sigma * sigma));
      }
    }
  }
  return grey(width, height, (x, y) => values[y * width + x]);
}

/** The picture turned a quarter clockwise: (x, y) goes to (height - 1 - y, x). */
export function quarterTurn(picture: GreyImage): GreyImage {
  return grey(
    picture.height,
    picture.width,
    (x, y) => picture.data[(picture.height - 1 - x) * picture.width + y],
  );
}
