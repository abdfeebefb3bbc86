import { extractFeatures } from "#goodgate/measure/features/extract.js";
import type { Features } from "#goodgate/types/photo.js";
import { dataPath } from "../../support/data.js";
import { readNpz } from "../../support/numpy.js";
import { type Cut, workingPicture } from "../../support/working.js";

/** Two real photographs of known overlap. */
export interface OverlapCase {
  readonly name: string;
  readonly a: Features;
  readonly b: Features;
  /** Share of a's frame that lands in b's. */
  readonly truth: number;
}

/** The published homography from graf1 to graf3 (H1to3p.xml beside the pictures). */
export const GRAF_1_TO_3 = [
  0.76285898, -0.29922929, 225.67123, 0.33443473, 1.0143901, -76.999973, 3.4663091e-4, -1.4364524e-5, 1,
] as const;

/** Columns of the left and the right motorcycle picture that stand for photos a and b: from, to before. */
const MOTORCYCLE_CROPS = [
  [0, 741, 0, 741],
  [0, 400, 0, 400],
  [200, 741, 0, 541],
  [0, 500, 200, 700],
  [0, 400, 150, 550],
  [0, 400, 240, 640],
  [100, 500, 300, 700],
  [300, 700, 100, 500],
  [341, 741, 60, 460],
  [100, 700, 250, 500],
  [100, 400, 330, 630],
] as const;

/** Shifts of the halves of four stitched pictures and their width, px (stitching test of the image library libvips). */
const STITCHED = [
  [1, 423],
  [2, 438],
  [3, 435],
  [4, 455],
] as const;

/** Reads every case; needs the test data. */
export async function overlapCases(): Promise<OverlapCase[]> {
  return [...(await motorcycle()), ...(await wall()), ...(await stitched())];
}

async function motorcycle(): Promise<OverlapCase[]> {
  const disparity = readNpz(dataPath("skimage", "motorcycle_disp.npz"));
  const cases: OverlapCase[] = [];
  for (const [from, to, start, end] of MOTORCYCLE_CROPS) {
    const cut = (left: number, right: number): Cut => ({
      left,
      top: 0,
      width: right - left,
      height: disparity.rows,
    });
    const a = extractFeatures(
      await workingPicture(dataPath("skimage", "motorcycle_left.png"), 1200, cut(from, to)),
    );
    const b = extractFeatures(
      await workingPicture(dataPath("skimage", "motorcycle_right.png"), 1200, cut(start, end)),
    );
    let known = 0;
    let inside = 0;
    for (let y = 0; y < disparity.rows; y++) {
      for (let x = from; x < to; x++) {
        const d = disparity.data[y * disparity.columns + x];
        if (!Number.isFinite(d)) continue;
        known++;
        if (x - d >= start && x - d < end) inside++;
      }
    }
    cases.push({ name: `motorcycle ${from}-${to} in ${start}-${end}`, a, b, truth: inside / known });
  }
  return cases;
}

async function wall(): Promise<OverlapCase[]> {
  const a = extractFeatures(await workingPicture(dataPath("opencv", "graf1.png")));
  const b = extractFeatures(await workingPicture(dataPath("opencv", "graf3.png")));
  let forth = 0;
  let back = 0;
  const h = GRAF_1_TO_3;
  // Area of a's frame as seen in b, by its Jacobian, gives the way back without an inverse.
  for (let y = 0; y < a.heightPx; y++) {
    for (let x = 0; x < a.widthPx; x++) {
      const w = h[6] * x + h[7] * y + h[8];
      const u = (h[0] * x + h[1] * y + h[2]) / w;
      const v = (h[3] * x + h[4] * y + h[5]) / w;
      if (u < 0 || v < 0 || u > b.widthPx - 1 || v > b.heightPx - 1) continue;
      forth++;
      back += Math.abs(determinant(h)) / Math.abs(w) ** 3;
    }
  }
  const area = a.widthPx * a.heightPx;
  return [
    { name: "graf1 in graf3", a, b, truth: forth / area },
    { name: "graf3 in graf1", a: b, b: a, truth: back / area },
  ];
}

function determinant(m: readonly number[]): number {
  return (
    m[0] * (m[4] * m[8] - m[5] * m[7]) -
    m[1] * (m[3] * m[8] - m[5] * m[6]) +
    m[2] * (m[3] * m[7] - m[4] * m[6])
  );
}

async function stitched(): Promise<OverlapCase[]> {
  const cases: OverlapCase[] = [];
  for (const [number, shift] of STITCHED) {
    const [a, b] = await Promise.all(
      [1, 2].map(async (half) =>
        extractFeatures(await workingPicture(dataPath("vips", `cd${number}.${half}.jpg`))),
      ),
    );
    cases.push({ name: `cd${number}`, a, b, truth: 1 - shift / a.widthPx });
  }
  return cases;
}
