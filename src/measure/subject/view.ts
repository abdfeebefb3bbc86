import type { Mat3, Vec3 } from "../geometry/vector.js";
import type { Intrinsics } from "../poses/intrinsics.js";

/** A placed camera over a photo's grid of cells. */
export interface View {
  /** World to camera. */
  readonly rotation: Mat3;
  readonly centre: Vec3;
  readonly intrinsics: Intrinsics;
  /** Size of the working picture that the intrinsics refer to, px. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly columns: number;
  readonly rows: number;
}

/**
 * Where a point of the world lies in a view: out[0] and out[1] in cells from the upper left corner (cell c spans
 * [c, c + 1)), out[2] its depth.
 *
 * @returns whether it lies before the camera; where not, only the depth is set.
 */
export function projectTo(view: View, x: number, y: number, z: number, out: Float64Array): boolean {
  const { rotation: r, centre, intrinsics } = view;
  const dx = x - centre[0];
  const dy = y - centre[1];
  const dz = z - centre[2];
  const depth = r[6] * dx + r[7] * dy + r[8] * dz;
  out[2] = depth;
  if (!(depth > 0)) return false;
  const u = intrinsics.centreX + (intrinsics.focalPx * (r[0] * dx + r[1] * dy + r[2] * dz)) / depth;
  const v = intrinsics.centreY + (intrinsics.focalPx * (r[3] * dx + r[4] * dy + r[5] * dz)) / depth;
  out[0] = ((u + 0.5) * view.columns) / view.widthPx;
  out[1] = ((v + 0.5) * view.rows) / view.heightPx;
  return true;
}

/** Cell that a place in cells falls into, or -1 outside the frame. */
export function cellAt(view: View, column: number, row: number): number {
  const c = Math.floor(column);
  const r = Math.floor(row);
  return c < 0 || r < 0 || c >= view.columns || r >= view.rows ? -1 : r * view.columns + c;
}

/** Cells that a length in the world takes up at a depth. */
export function cellsPer(view: View, depth: number): number {
  return (view.intrinsics.focalPx * view.columns) / view.widthPx / depth;
}
