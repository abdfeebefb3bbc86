import { isOpen } from "#goodgate/checks/around.js";
import type { Step } from "#goodgate/measure/coverage/coverage.js";

export interface GapFigures {
  /** Gaps there truly are. */
  readonly gaps: number;
  /** Those that a step between the same two photos shows. */
  readonly gapsFound: number;
  /** Steps said to be gaps that are none. */
  readonly invented: number;
  /** Errors of the width of those found, degrees. */
  readonly widthErrors: readonly number[];
  /** Whether each of these, on the sphere, is within twice the standard error stated. */
  readonly withinTwiceStated: readonly boolean[];
  /** That standard error, degrees. */
  readonly statedDeg: readonly number[];
}

const NARROWEST_GAP_DEG = 25;
/** A true gap may be measured this narrow, and a step said to be a gap be this narrow: the width's error is judged apart. */
const NEARLY_A_GAP_DEG = 22;

/** Steps said against true ones. */
export function gapFigures(truth: readonly Step[], said: readonly Step[]): GapFigures {
  const same = (p: Step) => (q: Step) => p.fromPhoto === q.fromPhoto && p.toPhoto === q.toPhoto;
  // A way that another height looks at within the step is no gap, however wide.
  const open = (step: Step) => isOpen(step, NARROWEST_GAP_DEG);
  const gaps = truth.filter(open);
  const hits = gaps.map((gap) => said.find(same(gap)));
  return {
    gaps: gaps.length,
    gapsFound: hits.filter((hit) => hit !== undefined && hit.angleDeg >= NEARLY_A_GAP_DEG).length,
    widthErrors: gaps.flatMap((gap, k) => {
      const hit = hits[k];
      return hit ? [Math.abs(hit.widthDeg - gap.widthDeg)] : [];
    }),
    withinTwiceStated: gaps.flatMap((gap, k) => {
      const hit = hits[k];
      return hit ? [Math.abs(hit.angleDeg - gap.angleDeg) <= 2 * hit.uncertaintyDeg] : [];
    }),
    statedDeg: hits.flatMap((hit) => (hit ? [hit.uncertaintyDeg] : [])),
    invented: said.filter((step) => open(step) && (truth.find(same(step))?.angleDeg ?? 0) < NEARLY_A_GAP_DEG)
      .length,
  };
}
