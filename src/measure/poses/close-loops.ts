import { axisAngleOf, rotationFromAxisAngle } from "../geometry/rotation.js";
import type { Mat3 } from "../geometry/vector.js";
import { DROP_DEG, type SolvedRotations, solveRotations, type WeightedLink } from "./rotations.js";

/** Share of the links, by strength, that may disagree before the turns themselves are suspected. */
const DISAGREEING = 0.03;
/** Logarithms of the shares tried: a focal length 15 % wrong makes turns some 12 % wrong. */
const TRIED = [-0.03, 0.03, -0.06, 0.06, -0.09, 0.09, -0.12, 0.12];
/** What a trial must gain to be more than chance: half of the disagreement. */
const GAIN = 0.5;

/**
 * Rotations of all photos, their loops closed. With a wrong focal length every turn is wrong by about the same share, so a
 * ring goes round more or less than once: averaging breaks it at one place and leaves out all links across, and nothing
 * that is refined afterwards sees the loop. So where many links disagree, all turns are tried that much larger or
 * smaller; where most links agree then, that solution is the start, and refining with the loops in it finds the lens.
 */
export function solveClosedRotations(count: number, links: readonly WeightedLink[]): SolvedRotations {
  const plain = solveRotations(count, links);
  const misfit = misfitOf(links, plain);
  if (misfit < DISAGREEING) return plain;
  let best = { solved: plain, misfit: GAIN * misfit };
  for (const log of TRIED) {
    const solved = solveRotations(
      count,
      links.map((link) => scaled(link, Math.exp(log))),
    );
    const cost = misfitOf(links, solved);
    if (cost < best.misfit) best = { solved, misfit: cost };
  }
  return best.solved;
}

function scaled(link: WeightedLink, factor: number): WeightedLink {
  return { ...link, rotations: link.rotations.map((rotation) => scaledTurn(rotation, factor)) };
}

/** The same turn, `factor` times as far. */
export function scaledTurn(rotation: Mat3, factor: number): number[] {
  return rotationFromAxisAngle(axisAngleOf(rotation).map((c) => c * factor));
}

/** Share of the matches whose links do not fit the solution, each by how far; 0 to 1. */
function misfitOf(links: readonly WeightedLink[], { residualDeg }: SolvedRotations): number {
  let misfit = 0;
  let total = 0;
  links.forEach(({ inliers }, e) => {
    misfit += inliers * Math.min(1, (residualDeg[e] / DROP_DEG) ** 2);
    total += inliers;
  });
  return total > 0 ? misfit / total : 0;
}
