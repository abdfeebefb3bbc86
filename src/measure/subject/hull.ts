import { type Arena, withArena } from "../../kernels/arena.js";
import { type Address, kernels } from "../../kernels/kernels.js";
import { heightOver, type Place } from "./place.js";
import { projectTo, type View } from "./view.js";

/** Voxels of the place, with how much speaks for each that the subject fills it. */
export interface Hull {
  /** Middles of the voxels that may be filled, 3 numbers each. */
  readonly middles: Float32Array;
  /** Chance of being filled, 0 to 1, one a voxel. */
  readonly filled: Float32Array;
  /** Side of a voxel, in the world's unit. */
  readonly side: number;
}

/** Voxels along the diameter of the place: about one to a cell of a photo. */
const ALONG = 48;
/** Views that vote: more say nothing new about a shape this coarse. */
const MOST_VIEWS = 48;
/**
 * Votes, natural log of the odds. A filled voxel is covered by the subject in every view, but for mistakes (6 % of the
 * views); an empty one is hidden by the subject, or by its edge, in more than half of the views, but seldom in all (60 %).
 * So one view that sees through a voxel outweighs three that do not. The shares are our choice.
 */
const SEEN_THROUGH = Math.log(0.06 / 0.4);
const COVERED = Math.log(0.94 / 0.6);
/** A voxel that hardly any view has in its frame is not known. */
const FEWEST_VIEWS = 3;
/** Voxels with smaller odds than this are not kept. */
const LEAST_ODDS = -2;

/**
 * Which part of the place the subject fills, from the probability of each view's cells: what a view sees through is empty.
 *
 * @param probabilities one a view: chance that each cell shows the subject, 0.5 where nothing is known
 * @see Laurentini 1994, "The visual hull concept for silhouette-based image understanding", PAMI 16:150
 */
export function carveHull(
  views: readonly View[],
  probabilityOf: (view: number) => Float32Array,
  place: Place,
): Hull {
  const side = (2 * place.reach) / ALONG;
  return withArena((arena) => {
    const middlesAt = arena.take(24 * ALONG ** 3);
    const middles = arena.f64(middlesAt, 3 * ALONG ** 3);
    const count = writeVoxels(place, side, middles);
    const oddsAt = arena.filled(8 * count);
    const seenAt = arena.filled(count);
    const stride = Math.max(1, Math.ceil(views.length / MOST_VIEWS));
    for (let v = 0; v < views.length; v += stride) {
      withArena(() => {
        const viewAt = copyView(views[v], arena);
        const probabilitiesAt = arena.copy(probabilityOf(v));
        kernels().addVotes(viewAt, probabilitiesAt, middlesAt, count, SEEN_THROUGH, COVERED, oddsAt, seenAt);
      });
    }
    const odds = arena.f64(oddsAt, count);
    const kept: number[] = [];
    for (let k = 0; k < count; k++) {
      if (odds[k] >= LEAST_ODDS && arena.bytes[seenAt + k] >= FEWEST_VIEWS) kept.push(k);
    }
    const hull = { middles: new Float32Array(3 * kept.length), filled: new Float32Array(kept.length), side };
    kept.forEach((k, n) => {
      for (let c = 0; c < 3; c++) hull.middles[3 * n + c] = middles[3 * k + c];
      hull.filled[n] = 1 / (1 + Math.exp(-odds[k]));
    });
    return hull;
  });
}

/** Writes the middles of the voxels in the ball that do not lie under the plane. @returns how many there are */
function writeVoxels(place: Place, side: number, out: Float64Array): number {
  const { centre, reach: radius } = place;
  let count = 0;
  for (let k = 0; k < ALONG; k++) {
    const z = centre[2] - radius + (k + 0.5) * side;
    for (let j = 0; j < ALONG; j++) {
      const y = centre[1] - radius + (j + 0.5) * side;
      for (let i = 0; i < ALONG; i++) {
        const x = centre[0] - radius + (i + 0.5) * side;
        if ((x - centre[0]) ** 2 + (y - centre[1]) ** 2 + (z - centre[2]) ** 2 > radius * radius) continue;
        if (heightOver(place, x, y, z) < 0) continue;
        out[3 * count] = x;
        out[3 * count + 1] = y;
        out[3 * count + 2] = z;
        count++;
      }
    }
  }
  return count;
}

/** A view as the kernels take it. */
function copyView(view: View, arena: Arena): Address {
  const { rotation, centre, intrinsics, columns, widthPx, rows, heightPx } = view;
  const { focalPx, centreX, centreY } = intrinsics;
  return arena.doubles(rotation, centre, [focalPx, centreX, centreY, columns, widthPx, rows, heightPx]);
}

/** The hull as a view sees it: chance of the fullest voxel before or behind each cell. */
export function projectHull(hull: Hull, view: View): Float32Array {
  const seen = new Float32Array(view.columns * view.rows);
  const out = new Float64Array(3);
  const scale = (view.intrinsics.focalPx * view.columns) / view.widthPx;
  for (let k = 0; k < hull.filled.length; k++) {
    const { middles } = hull;
    if (!projectTo(view, middles[3 * k], middles[3 * k + 1], middles[3 * k + 2], out)) continue;
    const reach = (0.5 * hull.side * scale) / out[2];
    const c0 = Math.max(0, Math.round(out[0] - reach));
    const c1 = Math.min(view.columns - 1, Math.max(Math.floor(out[0]), Math.round(out[0] + reach) - 1));
    const r0 = Math.max(0, Math.round(out[1] - reach));
    const r1 = Math.min(view.rows - 1, Math.max(Math.floor(out[1]), Math.round(out[1] + reach) - 1));
    for (let row = r0; row <= r1; row++) {
      for (let column = c0; column <= c1; column++) {
        const cell = row * view.columns + column;
        if (hull.filled[k] > seen[cell]) seen[cell] = hull.filled[k];
      }
    }
  }
  return seen;
}
