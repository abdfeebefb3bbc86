/** Real views of a board with calibrated cameras (fixtures/boards), and real stereo pairs from pixels. */
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { IDENTITY, rotationAngleDeg } from "#goodgate/measure/geometry/rotation.js";
import { type Mat3, multiply, transpose } from "#goodgate/measure/geometry/vector.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import { verifyMatches } from "#goodgate/measure/pair/verify.js";
import { relativePose } from "#goodgate/measure/poses/relative-pose.js";
import type { AroundPhoto } from "#goodgate/measure/poses/solved-set.js";
import { workingPicture } from "../support/working.js";
import { rotationErrors } from "./alignment.js";
import { percentile, type Row, type Section, spread } from "./table.js";

interface Series {
  readonly focalPx: number;
  readonly centrePx: readonly number[];
  /** k1 and k2. */
  readonly distortion: readonly number[];
  readonly views: readonly {
    readonly view: number;
    readonly rotation: readonly number[];
    readonly corners: readonly number[];
  }[];
}

interface Boards {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly stereo: { readonly rotation: readonly number[] };
  readonly left: Series;
  readonly right: Series;
}

export interface BoardView {
  readonly series: Series;
  readonly rotation: Mat3;
  readonly corners: readonly number[];
}

export function readBoards(): Boards {
  return JSON.parse(readFileSync(join("fixtures", "boards", "views.json"), "utf8")) as Boards;
}

/** Views of both cameras, left first. */
export function boardViews({ left, right }: Boards): BoardView[] {
  return [left, right].flatMap((series) =>
    series.views.map(({ rotation, corners }) => ({ series, rotation, corners })),
  );
}

/** Corners as rays of an ideal camera: principal point and distortion taken out. */
export function calibratedRays({ series, corners }: BoardView): number[] {
  const { focalPx, centrePx, distortion } = series;
  const rays: number[] = [];
  for (let k = 0; k < corners.length; k += 2) {
    const [seenX, seenY] = [0, 1].map((c) => (corners[k + c] - centrePx[c]) / focalPx);
    let [x, y] = [seenX, seenY];
    for (let pass = 0; pass < 20; pass++) {
      const squared = x * x + y * y;
      const bend = 1 + distortion[0] * squared + distortion[1] * squared * squared;
      [x, y] = [seenX / bend, seenY / bend];
    }
    rays.push(x, y);
  }
  return rays;
}

/** A photo whose keypoints are these corners, as a camera of this focal length without distortion sees them. */
export function boardPhoto(
  { widthPx, heightPx }: Boards,
  rays: readonly number[],
  focalPx: number,
): AroundPhoto {
  const at = (axis: number, middle: number) =>
    rays.filter((_, i) => i % 2 === axis).map((ray) => focalPx * ray + middle);
  const features = { widthPx, heightPx, x: at(0, (widthPx - 1) / 2), y: at(1, (heightPx - 1) / 2) };
  return { features, focalLength35Mm: (focalPx * Math.hypot(36, 24)) / Math.hypot(widthPx, heightPx) };
}

export function boardPairs(photos: number, corners: number): { i: number; j: number; inliers: Int32Array }[] {
  const inliers = Int32Array.from({ length: 2 * corners }, (_, k) => k >> 1);
  return Array.from({ length: photos }, (_, i) => i).flatMap((i) =>
    Array.from({ length: photos - i - 1 }, (_, k) => ({ i, j: i + 1 + k, inliers })),
  );
}

export function boards(): Section {
  const all = readBoards();
  const views = boardViews(all);
  const rays = views.map(calibratedRays);
  const corners = rays[0].length / 2;
  const rows = [pairRows(views, rays), ...setRows(all, views, rays, corners)];
  return {
    title: "Real views of a board",
    about:
      `${corners} corners in ${views.length} photos of two calibrated cameras, 640 x 480 px. Two views of nothing but a plane ` +
      "fit two motions alike, so only the best candidate is held to the bar there; the whole set settles which. As " +
      "stored: corners of pictures bent by 16 %, principal point 13 to 22 px off the middle, which turns every camera by " +
      "1.5 to 2.5 degrees and is not sought.",
    rows: rows.flat(),
  };
}

function pairRows(views: readonly BoardView[], rays: readonly number[][]): Row[] {
  const best: number[] = [];
  const first: number[] = [];
  for (const { i, j } of boardPairs(views.length, 0)) {
    const truth = multiply(views[j].rotation, transpose(views[i].rotation));
    if (rotationAngleDeg(truth, IDENTITY) > 20) continue;
    const points = Float64Array.from(
      { length: 2 * rays[i].length },
      (_, k) => rays[k % 4 < 2 ? i : j][2 * (k >> 2) + (k % 2)],
    );
    const pose = relativePose(points, views[i].series.focalPx, { limitPx: 1 });
    if (!pose) continue;
    const errors = pose.candidates.map(({ rotation }) => rotationAngleDeg(rotation, truth));
    best.push(Math.min(...errors));
    first.push(errors[0]);
  }
  return [
    {
      what: `best candidate of ${best.length} pairs up to 20 degrees apart`,
      measured: spread(best),
      bar: [0.35, 1.6, 5],
    },
    { what: "first candidate", measured: spread(first) },
  ];
}

function setRows(
  all: Boards,
  views: readonly BoardView[],
  rays: readonly number[][],
  corners: number,
): Row[] {
  const truth = views.map(({ rotation }) => rotation);
  const errorsOf = (photos: readonly AroundPhoto[]) => {
    const facts = measureAround(photos, boardPairs(photos.length, corners));
    const cameras = facts.parts[0].solution?.cameras ?? [];
    return {
      factor: facts.focalFactor,
      placed: cameras.length,
      errors: rotationErrors(
        cameras.map(({ rotation }) => rotation),
        cameras.map(({ photo }) => truth[photo]),
      ),
    };
  };
  const calibrated = errorsOf(views.map(({ series }, k) => boardPhoto(all, rays[k], series.focalPx)));
  const wrong = errorsOf(
    views.map(({ series }, k) => {
      const photo = boardPhoto(all, rays[k], series.focalPx);
      return { ...photo, focalLength35Mm: 1.1 * (photo.focalLength35Mm ?? 0) };
    }),
  );
  const stored = errorsOf(
    views.map(({ series, corners: seen }) => {
      const middle = [(all.widthPx - 1) / 2, (all.heightPx - 1) / 2];
      const plain = seen.map((value, k) => (value - middle[k % 2]) / series.focalPx);
      return boardPhoto(all, plain, series.focalPx);
    }),
  );
  const ends = (errors: readonly number[]) => [percentile(errors, 0.5), percentile(errors, 1)];
  return [
    {
      what: `whole set, calibrated: absolute rotation of ${calibrated.placed} views, median / largest`,
      measured: ends(calibrated.errors),
      bar: [0.3, 1.5],
    },
    {
      what: "whole set, focal length stated 10 % long: the same, and the factor found",
      measured: [...ends(wrong.errors), wrong.factor],
      bar: [0.3, 1.5],
    },
    {
      what: "whole set, as stored: the same, and the factor found",
      measured: [...ends(stored.errors), stored.factor],
    },
  ];
}

const EXAMPLES = join("deb", "usr", "share", "doc", "opencv-doc", "examples", "data");
const PICTURES = join("deb", "usr", "lib", "python3", "dist-packages", "skimage", "data");

/**
 * Real stereo pairs from pixels to pose. Rectified pairs are turned by nothing; the rig of the board views by what its
 * calibration says.
 *
 * @returns undefined without the photographs of test/fetch-test-data.sh.
 */
export async function stereoPairs(data: string | undefined): Promise<Section | undefined> {
  if (data === undefined || !existsSync(join(data, EXAMPLES, "aloeL.jpg"))) return undefined;
  const { stereo, left } = readBoards();
  const errors: number[] = [];
  for (const { view } of left.views) {
    const name = String(view).padStart(2, "0");
    const files = ["left", "right"].map((side) => join(data, EXAMPLES, `${side}${name}.jpg`));
    const pose = await poseOf(files[0], files[1], left.focalPx / 640);
    if (pose) errors.push(rotationAngleDeg(pose, stereo.rotation));
  }
  // Focal lengths over widths: from the data sets' calibrations; a rectified pair hardly asks.
  const rectified = [
    { name: "aloe", files: ["aloeL.jpg", "aloeR.jpg"].map((f) => join(data, EXAMPLES, f)), focal: 2.9 },
    {
      name: "motorcycle",
      files: ["motorcycle_left.png", "motorcycle_right.png"].map((f) => join(data, PICTURES, f)),
      focal: 1.34,
    },
  ];
  const rows: Row[] = [
    { what: `board rig, ${errors.length} of ${left.views.length} pairs as stored`, measured: spread(errors) },
  ];
  for (const { name, files, focal } of rectified) {
    if (!files.every((file) => existsSync(file))) continue;
    const pose = await poseOf(files[0], files[1], focal);
    rows.push({
      what: `${name}, rectified`,
      measured: [pose ? rotationAngleDeg(pose, IDENTITY) : Number.NaN],
      bar: [1.6],
    });
  }
  return {
    title: "Real stereo pairs",
    about: "Rotation error in degrees, median / 90th percentile / largest, from pixels.",
    rows,
  };
}

async function poseOf(a: string, b: string, focalOverWidth: number): Promise<Mat3 | undefined> {
  const [one, other] = await Promise.all(
    [a, b].map(async (file) => extractFeatures(await workingPicture(file))),
  );
  const { inliers } = verifyMatches(one, other, matchDescriptors(one, other), 1);
  const focalPx = focalOverWidth * one.widthPx;
  const points = new Float64Array(2 * inliers.length);
  for (let k = 0; k < inliers.length; k += 2) {
    [one, other].forEach((photo, side) => {
      const index = inliers[k + side];
      points[2 * k + 2 * side] = (photo.x[index] - (photo.widthPx - 1) / 2) / focalPx;
      points[2 * k + 2 * side + 1] = (photo.y[index] - (photo.heightPx - 1) / 2) / focalPx;
    });
  }
  return relativePose(points, focalPx)?.candidates[0].rotation;
}
