import { gaussianBlur, type LinearImage } from "./faults.js";

/** What a lens needs to know to focus on one plane: 1 / depth, 1 / metres. */
export interface FocusScene {
  /** Of the nearest thing in each pixel; 0 where there is nothing. */
  readonly inverseDepth: Float32Array;
  /** Of the prop's middle. */
  readonly subject: number;
}

/** Steps of blur between layers, px, and most layers on either side of the plane in focus. */
const layerStepPx = 0.5;
const mostLayers = 9;
/** Farther than the prop's middle by this factor counts as behind the prop. */
const behind = 1.4;

/** Middle 1 / depth of what lies behind the prop; half of the prop's where nothing does. */
export function backgroundInverseDepth({ inverseDepth, subject }: FocusScene): number {
  const far = inverseDepth.filter((value) => value > 0 && value < subject / behind).sort();
  return far.length === 0 ? subject / 2 : far[far.length >> 1];
}

/**
 * Blur by depth: sigma = `sigmaPx` * |1/depth - 1/focus| / |1/other - 1/focus|, the circle of confusion of a thin lens
 * whose picture is far behind its focal length. The picture is cut into layers of like blur, each blurred with its own
 * edges, and laid over one another from far to near, so that a blurred prop spreads over what is behind it while a
 * blurred background does not take up the prop's colour.
 *
 * @param focus 1 / depth of the plane in focus
 * @param other 1 / depth of the plane that is blurred by `sigmaPx` pixels of this picture
 */
export function focusBlur(
  image: LinearImage,
  inverseDepth: Float32Array,
  focus: number,
  other: number,
  sigmaPx: number,
): LinearImage {
  const { width, height, data } = image;
  const pixels = width * height;
  // Signed layer number: negative behind the plane in focus.
  const perLayer = sigmaPx / Math.abs(other - focus) / layerStepPx;
  const place = inverseDepth.map((value) =>
    Math.max(-mostLayers, Math.min(mostLayers, (value - focus) * perLayer)),
  );
  const colour = new Float32Array(3 * pixels);
  const cover = new Float32Array(pixels);
  for (let layer = -mostLayers; layer <= mostLayers; layer++) {
    const own: LinearImage = { width, height, data: new Float32Array(3 * pixels) };
    const share: LinearImage = { width, height, data: new Float32Array(3 * pixels) };
    let used = false;
    for (let i = 0; i < pixels; i++) {
      const weight = 1 - Math.abs(place[i] - layer);
      if (weight <= 0) continue;
      used = true;
      for (let c = 3 * i; c < 3 * i + 3; c++) {
        own.data[c] = weight * data[c];
        share.data[c] = weight;
      }
    }
    if (!used) continue;
    const sigma = Math.abs(layer) * layerStepPx;
    const light = gaussianBlur(own, sigma).data;
    const alpha = gaussianBlur(share, sigma).data;
    for (let i = 0; i < pixels; i++) {
      const a = alpha[3 * i];
      for (let c = 3 * i; c < 3 * i + 3; c++) colour[c] = colour[c] * (1 - a) + light[c];
      cover[i] = cover[i] * (1 - a) + a;
    }
  }
  for (let i = 0; i < pixels; i++) {
    const gain = 1 / Math.max(cover[i], 1e-6);
    for (let c = 3 * i; c < 3 * i + 3; c++) colour[c] *= gain;
  }
  return { width, height, data: colour };
}
