import { lookAt } from "#goodgate/demo/camera.js";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { createRandom } from "#goodgate/measure/geometry/random.js";
import { codeOfLight, createCells } from "#goodgate/measure/photo/cells.js";
import type { RegionPhoto } from "#goodgate/measure/subject/region.js";
import type { View } from "#goodgate/measure/subject/view.js";

/**
 * A ball of 0.1 on a table at z = 0, in a round arena of radius 2, seen from a ring of 16 cameras; all of it points. The
 * ball is a stop brighter than the rest.
 */
export const BALL = { centre: [0, 0, 0.1], radius: 0.1 } as const;
export const SIZE = { widthPx: 1200, heightPx: 900, columns: 80, rows: 60 } as const;
const FOCAL = 1080;

export interface SceneOptions {
  /** Whether the ball, the table and the wall have points. */
  readonly ball?: boolean;
  readonly table?: boolean;
  readonly wall?: boolean;
  /** The camera that aims past the ball, and the point it aims at. */
  readonly astray?: { readonly camera: number; readonly target: readonly [number, number, number] };
}

export interface Scene {
  readonly views: View[];
  readonly photos: RegionPhoto[];
  readonly links: { i: number; j: number; inliers: Int32Array }[];
  readonly solution: {
    subjectCentre: number[];
    up: number[];
    cameras: {
      photo: number;
      rotation: number[];
      centre: number[];
      intrinsics: { focalPx: number; centreX: number; centreY: number };
    }[];
  };
}

const cameras = 16;

function viewFrom(k: number, astray: SceneOptions["astray"]): View {
  const angle = (2 * Math.PI * k) / cameras;
  const centre: [number, number, number] = [0.55 * Math.sin(angle), 0.55 * Math.cos(angle), 0.3];
  const target = astray?.camera === k ? astray.target : BALL.centre;
  return {
    rotation: [...lookAt(centre, [target[0], target[1], target[2]])],
    centre,
    intrinsics: {
      focalPx: FOCAL,
      centreX: (SIZE.widthPx - 1) / 2,
      centreY: (SIZE.heightPx - 1) / 2,
    },
    ...SIZE,
  };
}

/** Whether the ball stands between a camera and a point. */
function hidden(from: readonly number[], point: readonly number[]): boolean {
  const d = point.map((x, c) => x - from[c]!);
  const m = from.map((x, c) => x - BALL.centre[c as 0]);
  const a = d.reduce((sum, x) => sum + x * x, 0);
  const b = d.reduce((sum, x, c) => sum + x * m[c]!, 0);
  const c = m.reduce((sum, x) => sum + x * x, 0) - BALL.radius ** 2;
  const root = b * b - a * c;
  if (root <= 0) return false;
  const t = (-b - Math.sqrt(root)) / a;
  return t > 0 && t < 0.995;
}

function pixelOf(view: View, point: readonly number[]): [number, number] | undefined {
  const d = point.map((x, c) => x - view.centre[c]!);
  const r = view.rotation;
  const [x, y, z] = [0, 3, 6].map((row) => r[row]! * d[0]! + r[row + 1]! * d[1]! + r[row + 2]! * d[2]!);
  if (z! <= 0) return undefined;
  const px = view.intrinsics.centreX + (FOCAL * x!) / z!;
  const py = view.intrinsics.centreY + (FOCAL * y!) / z!;
  return px < 0 || py < 0 || px > SIZE.widthPx - 1 || py > SIZE.heightPx - 1 ? undefined : [px, py];
}

export function ballScene({ ball = true, table = true, wall = true, astray }: SceneOptions = {}): Scene {
  const random = createRandom(7);
  const points: number[][] = [];
  const between = (low: number, high: number) => low + (high - low) * random.next();
  for (let k = 0; ball && k < 500; k++) {
    const z = between(-1, 1);
    const angle = between(0, 2 * Math.PI);
    const r = Math.sqrt(1 - z * z);
    points.push([
      BALL.radius * r * Math.cos(angle),
      BALL.radius * r * Math.sin(angle),
      BALL.centre[2] + BALL.radius * z,
    ]);
  }
  for (let k = 0; table && k < 1500; k++) points.push([between(-0.7, 0.7), between(-0.7, 0.7), 0]);
  for (let k = 0; wall && k < 1500; k++) {
    const angle = between(0, 2 * Math.PI);
    points.push([2 * Math.cos(angle), 2 * Math.sin(angle), between(-1.2, 1)]);
  }
  const views = Array.from({ length: cameras }, (_, k) => viewFrom(k, astray));
  const seen = views.map((view) => {
    const own = new Map<number, [number, number]>();
    for (const [p, point] of points.entries()) {
      const pixel = hidden(view.centre, point) ? undefined : pixelOf(view, point);
      if (pixel !== undefined) own.set(p, pixel);
    }
    return own;
  });
  const keypointOf = seen.map((own) => new Map([...own.keys()].map((p, k) => [p, k])));
  const photos = seen.map((own, photo): RegionPhoto => {
    const features = createFeatures(own.size, SIZE.widthPx, SIZE.heightPx);
    for (const [k, [x, y]] of [...own.values()].entries()) {
      features.x[k] = x;
      features.y[k] = y;
      features.scale[k] = 2;
    }
    const cells = createCells(SIZE.columns, SIZE.rows);
    const mask = trueMask(views[photo]!);
    for (const channel of [cells.red, cells.green, cells.blue, cells.brightest]) {
      for (const [cell, on] of mask.entries()) channel[cell] = codeOfLight(on ? 0.4 : 0.2);
    }
    return { features, cells };
  });
  const links: Scene["links"] = [];
  for (let i = 0; i < cameras; i++) {
    for (const step of [1, 2]) {
      const j = (i + step) % cameras;
      const inliers: number[] = [];
      for (const p of seen[i]!.keys()) {
        const other = keypointOf[j]!.get(p);
        if (other !== undefined) inliers.push(keypointOf[i]!.get(p)!, other);
      }
      links.push({ i, j, inliers: Int32Array.from(inliers) });
    }
  }
  return {
    views,
    photos,
    links,
    solution: {
      subjectCentre: [...BALL.centre],
      up: [0, 0, 1],
      cameras: views.map(({ rotation, centre, intrinsics }, photo) => ({
        photo,
        rotation: Array.from(rotation),
        centre: [...centre],
        intrinsics,
      })),
    },
  };
}

/** Whether the middle of each cell sees the ball. */
export function trueMask(view: View): Uint8Array {
  const mask = new Uint8Array(SIZE.columns * SIZE.rows);
  for (let row = 0, cell = 0; row < SIZE.rows; row++) {
    for (let column = 0; column < SIZE.columns; column++, cell++) {
      const x = (((column + 0.5) * SIZE.widthPx) / SIZE.columns - 0.5 - view.intrinsics.centreX) / FOCAL;
      const y = (((row + 0.5) * SIZE.heightPx) / SIZE.rows - 0.5 - view.intrinsics.centreY) / FOCAL;
      const r = view.rotation;
      const far = [0, 1, 2].map((c) => view.centre[c]! + 10 * (r[c]! * x + r[3 + c]! * y + r[6 + c]!));
      if (hidden(view.centre, far)) mask[cell] = 1;
    }
  }
  return mask;
}
