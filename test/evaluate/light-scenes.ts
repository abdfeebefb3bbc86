/** Rendered rings whose light can be mixed afterwards: light adds up, so one picture a lamp is enough for any balance. */
import { develop, type LinearImage, phoneNoise } from "#goodgate/demo/faults.js";
import { cleanDemo, type SetOptions } from "#goodgate/demo/options.js";
import { planSet, type SetPlan } from "#goodgate/demo/plan.js";
import { sceneOf } from "#goodgate/demo/render.js";
import type { Scene } from "#goodgate/demo/scene.js";
import { drawScene } from "#goodgate/demo/shade.js";
import { truthOf } from "#goodgate/demo/truth.js";
import type { Region } from "#goodgate/measure/light/region.js";
import type { Cells } from "#goodgate/types/photo.js";
import type { RgbImage } from "#goodgate/types/pixels.js";

export const RING_PHOTOS = 24;

/** Direction of the one lamp of the renderer's set-up "one", clockwise from +y: it stands at (-1.5, 0.6). */
export const ONE_LAMP_DEG = 360 - (Math.atan2(1.5, 0.6) * 180) / Math.PI;

/** Mirror reflectance of the glossy picture: the renderer's own for glossy props. */
const GLOSS = 0.06;

/** What each picture of a pose is lit by, unless said; after these comes the last once more on a glossy prop. */
export const LIGHTS = [
  { lamps: "one" },
  { lamps: "overcast" },
  { lamps: "two opposite", lampRatioStops: 0 },
  { lamps: "two opposite", lampRatioStops: 6 },
  { lamps: "three" },
] as const satisfies readonly Partial<SetOptions>[];

/** How much of each picture a mixture holds. */
export type Mixture = readonly [
  one: number,
  overcast: number,
  both: number,
  left: number,
  three: number,
  glossy: number,
];

export interface LitRing {
  readonly plan: SetPlan;
  readonly azimuthDeg: readonly number[];
  /** The pictures of a pose, in radiance: no exposure yet. */
  pose(index: number): { readonly lights: readonly LinearImage[]; readonly mask: Uint8Array };
}

/**
 * One ring around a prop. The plan does not depend on the light.
 *
 * @param lights what the pictures are lit by
 */
export function litRing(
  subject: SetOptions["subject"],
  seed: number,
  lights: readonly Partial<SetOptions>[] = LIGHTS,
): LitRing {
  const options: SetOptions = {
    ...cleanDemo,
    seed,
    subject,
    widthPx: 720,
    heightPx: 540,
    portraitShare: 0,
    rings: [
      {
        elevationDeg: 12 + (seed % 3) * 8,
        photos: RING_PHOTOS,
        startDeg: (seed * 67) % 360,
        spanDeg: 360,
      },
    ],
  };
  const plan = planSet(options);
  const lamps = lights.map((light): Scene => ({ ...sceneOf({ ...options, ...light }), exposure: 1 }));
  const last = lamps[lamps.length - 1];
  const polished = last.surfaces.map((surface) => (surface.subject ? { ...surface, gloss: GLOSS } : surface));
  const scenes = lights === LIGHTS ? [...lamps, { ...last, surfaces: polished }] : lamps;
  return {
    plan,
    azimuthDeg: truthOf(plan).photos.map(({ azimuthDeg }) => azimuthDeg!),
    pose: (index) => {
      const { camera } = plan.photos[index];
      const { widthPx: width, heightPx: height } = camera;
      const mask = new Uint8Array(width * height);
      const lights = scenes.map((scene) => {
        const image: LinearImage = { width, height, data: new Float32Array(3 * width * height) };
        drawScene(scene, camera, image, mask);
        return image;
      });
      return { lights, mask };
    },
  };
}

/** The sum of some lights, each by its factor, times a gain. */
export function mix(lights: readonly LinearImage[], mixture: readonly number[], gain = 1): LinearImage {
  const { width, height } = lights[0];
  const data = new Float32Array(3 * width * height);
  for (const [k, { data: light }] of lights.entries()) {
    const factor = mixture[k] * gain;
    if (factor === 0) continue;
    for (let i = 0; i < data.length; i++) data[i] += factor * light[i];
  }
  // A lamp's own ambient light is taken out by a negative share of the overcast one.
  for (let i = 0; i < data.length; i++) if (data[i] < 0) data[i] = 0;
  return { width, height, data };
}

export function luminanceAt({ data }: LinearImage, pixel: number): number {
  return 0.2126 * data[3 * pixel] + 0.7152 * data[3 * pixel + 1] + 0.0722 * data[3 * pixel + 2];
}

/** Luminances of the subject's pixels, ascending. */
export function subjectLuminances(image: LinearImage, mask: Uint8Array): Float64Array {
  const out: number[] = [];
  for (let p = 0; p < mask.length; p++) if (mask[p] === 255) out.push(luminanceAt(image, p));
  return Float64Array.from(out).sort();
}

/** The subject's mask on a grid of cells. */
export function regionOfMask(mask: Uint8Array, width: number, height: number, cells: Cells): Region {
  const { columns, rows } = cells;
  const share = new Float32Array(columns * rows);
  const count = new Float32Array(columns * rows);
  for (let y = 0; y < height; y++) {
    const row = Math.floor(((y + 0.5) * rows) / height);
    for (let x = 0; x < width; x++) {
      const cell = row * columns + Math.floor(((x + 0.5) * columns) / width);
      share[cell] += mask[y * width + x] / 255;
      count[cell]++;
    }
  }
  for (let i = 0; i < share.length; i++) share[i] /= count[i];
  return { columns, rows, share };
}

/** Half the size: means of 2 x 2 pixels. */
export function halved({ width, height, data }: LinearImage): LinearImage {
  const [w, h] = [width >> 1, height >> 1];
  const out = new Float32Array(3 * w * h);
  for (let y = 0; y < h; y++) {
    for (let i = 0; i < 3 * w; i++) {
      const at = 2 * y * 3 * width + 6 * Math.floor(i / 3) + (i % 3);
      out[3 * y * w + i] = (data[at] + data[at + 3] + data[at + 3 * width] + data[at + 3 * width + 3]) / 4;
    }
  }
  return { width: w, height: h, data: out };
}

/** As the phone shows it: noise, clipping, 8 bits. */
export function shoot(image: LinearImage, seed: number): RgbImage {
  return develop(image, phoneNoise(125), seed);
}
