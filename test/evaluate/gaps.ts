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
}

const NARROWEST_GAP_DEG = 25;
/** A true gap may be measured this narrow, and a step said to be a gap be this narrow: the width's error is judged apart. */
const NEARLY_A_GAP_DEG = 22;

/** Steps said against true ones. */
export function gapFigures(truth: readonly Step[], said: readonly Step[]): GapFigures {
  const same = (p: Step) => (q: Step) => p.fromPhoto === q.fromPhoto && p.toPhoto === q.toPhoto;
  const gaps = truth.filter(({ angleDeg }) => angleDeg >= NARROWEST_GAP_DEG);
  const hits = gaps.map((gap) => said.find(same(gap)));
  return {
    gaps: gaps.length,
    gapsFound: hits.filter((hit) => hit !== undefined && hit.angleDeg >= NEARLY_A_GAP_DEG).length,
    widthErrors: gaps.flatMap((gap, k) => {
      const hit = hits[k];
      return hit ? [Math.abs(hit.widthDeg - gap.widthDeg)] : [];
    }),
    invented: said.filter(
      (step) =>
        step.angleDeg >= NARROWEST_GAP_DEG && (truth.find(same(step))?.angleDeg ?? 0) < NEARLY_A_GAP_DEG,
    ).length,
  };
}
