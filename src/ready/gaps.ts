import { coverageOf } from "../measure/coverage/coverage.js";
import type { Direction } from "../measure/coverage/directions.js";
import type { Limits } from "../types/judgement.js";

/**
 * How many gaps there are in the way round that directions leave.
 *
 * @param spanDeg how much of the way round is wanted, degrees in (0, 360]
 * @param limits those that the set was judged by
 */
export function gapsIn(directions: readonly Direction[], spanDeg: number, limits: Limits): number {
  const widest = limits.gap.step.value;
  const cameras = directions.map(({ azimuthDeg, elevationDeg }, photo) => ({
    photo,
    azimuthDeg,
    elevationDeg,
    uncertaintyDeg: 0,
  }));
  return coverageOf(cameras, { spanDeg })
    .bands.flatMap(({ steps }) => steps)
    .filter((step) => step.angleDeg > widest).length;
}
