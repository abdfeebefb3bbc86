import { solveDifferences } from "../differences.js";
import { axisAngleOf, IDENTITY, rotationFromAxisAngle } from "../geometry/rotation.js";
import { length, type Mat3, multiply, transpose } from "../geometry/vector.js";
import { connectedParts, DisjointSets } from "../parts.js";
import { upperMedian } from "../statistics.js";
import { type RotationLink, tripletVotes } from "./triplets.js";

/** A link with its strength: how many matches fit it. */
export interface WeightedLink extends RotationLink {
  readonly inliers: number;
}

export interface SolvedRotations {
  /** World to camera, one a photo; each part has a world of its own. */
  readonly rotations: readonly Mat3[];
  /** Photos linked by links that agree, largest part first. */
  readonly parts: readonly (readonly number[])[];
  /** Candidate that agrees best with the solution, one a link. */
  readonly chosen: Int32Array;
  /** Its disagreement, degrees. */
  readonly residualDeg: Float64Array;
  /** Whether the link agrees well enough to be built on. */
  readonly used: readonly boolean[];
}

/** Largest error of a loop of three photos that counts as closed: three good links of hand-held frames close within about 1. */
const LOOP_DEG = 3;
/** A link that disagrees with the solution by more is not used: what a loop may be off, and a little; chosen, not measured. */
export const DROP_DEG = 4;

/**
 * First the errors of the tree are spread over the loops, gross ones left out, or they would stay where the tree put them;
 * then come absolute residuals, and at last a weight that lets gross errors go. The numbers of passes are chosen, not
 * measured; SETTLED ends it sooner where it can.
 */
const SPREADING_PASSES = 3;
/** As large as a loop may be off. */
const SPREADING_SCALE = (3 * Math.PI) / 180;
const ABSOLUTE_PASSES = 7;
const PASSES = 20;
/** A change this small (radians) is the last: the noise of a link is a hundred times as large. */
const SETTLED = 3e-5;
/** Residuals under this (radians, 0.3 degree) are noise of a good link: they all weigh alike. */
const NOISE = 0.005;
/** Matches of a link that is believed against the others: twice what makes a link, so no chance resemblance of patterns. */
const FEWEST_OF_BRIDGE = 60;

/**
 * Absolute rotations from candidates of relative ones: triangles vote for candidates, the strongest spanning tree
 * gives a start, and iteratively reweighted averaging, which may switch a link to another of its candidates, gives the
 * rest. Links whose every triangle fails are left out.
 *
 * @see Hartley, Trumpf, Dai and Li 2013, "Rotation averaging", IJCV 103; Chatterjee and Govindu 2013, "Efficient and
 * robust large-scale rotation averaging", ICCV.
 */
export function solveRotations(count: number, links: readonly WeightedLink[]): SolvedRotations {
  const { votes, triangles } = tripletVotes(count, links, LOOP_DEG);
  const chosen = Int32Array.from(votes, (row) => row.indexOf(Math.max(...row)));
  const support = links.map((_, e) => votes[e][chosen[e]]);
  const plausible = links.map((_, e) => support[e] > 0 || triangles[e] === 0);
  // Matches fix a rotation by their root; a link that no triangle confirms counts as half confirmed (chosen).
  const strength = links.map(({ inliers }, e) => (0.5 + support[e]) * Math.sqrt(inliers));
  const rotations = alongTree(count, links, chosen, strength, plausible);
  const residual = new Float64Array(links.length);
  const live = links.map((_, e) => e).filter((e) => plausible[e]);
  average(count, links, live, rotations, chosen, residual);
  const agreeing = links.map((_, e) => plausible[e] && residual[e] <= (DROP_DEG * Math.PI) / 180);
  const used = withBridges(count, links, strength, agreeing);
  if (used.some((use, e) => use && !agreeing[e])) {
    const kept = links.map((_, e) => e).filter((e) => used[e]);
    average(count, links, kept, rotations, chosen, residual);
  }
  const residualDeg = residual.map((r) => (r * 180) / Math.PI);
  const parts = connectedParts(
    count,
    links.filter((_, e) => used[e]).map(({ i, j }) => [i, j] as const),
  );
  return { rotations, parts, chosen, residualDeg, used };
}

/**
 * Links that agree, and the strongest of the others where nothing else joins two parts: the photos do show the same
 * things, so they hang together, however roughly that link says how.
 */
function withBridges(
  count: number,
  links: readonly WeightedLink[],
  strength: readonly number[],
  agreeing: readonly boolean[],
): boolean[] {
  const sets = new DisjointSets(count);
  links.forEach(({ i, j }, e) => {
    if (agreeing[e]) sets.join(i, j);
  });
  const used = [...agreeing];
  const others = links.map((_, e) => e).filter((e) => !agreeing[e] && links[e].inliers >= FEWEST_OF_BRIDGE);
  others.sort((p, q) => strength[q] - strength[p] || p - q);
  for (const e of others) if (sets.join(links[e].i, links[e].j)) used[e] = true;
  return used;
}

/** Rotations along the maximum spanning tree (Kruskal), from the first photo of each part. */
function alongTree(
  count: number,
  links: readonly WeightedLink[],
  chosen: Int32Array,
  strength: readonly number[],
  plausible: readonly boolean[],
): Mat3[] {
  const order = links.map((_, e) => e).filter((e) => plausible[e]);
  order.sort((p, q) => strength[q] - strength[p] || p - q);
  const sets = new DisjointSets(count);
  const tree: number[][] = Array.from({ length: count }, () => []);
  for (const e of order) {
    if (!sets.join(links[e].i, links[e].j)) continue;
    tree[links[e].i].push(e);
    tree[links[e].j].push(e);
  }
  const rotations = new Array<Mat3 | undefined>(count).fill(undefined);
  for (let root = 0; root < count; root++) {
    if (rotations[root]) continue;
    rotations[root] = IDENTITY;
    const queue = [root];
    for (let head = 0; head < queue.length; head++) {
      const at = queue[head];
      for (const e of tree[at]) {
        const { i, j } = links[e];
        const next = i === at ? j : i;
        if (rotations[next]) continue;
        const step = links[e].rotations[chosen[e]];
        rotations[next] = multiply(i === at ? step : transpose(step), rotations[at] as Mat3);
        queue.push(next);
      }
    }
  }
  return rotations as Mat3[];
}

/** Improves rotations in place; writes each live link's residual (radians) and its best candidate. */
function average(
  count: number,
  links: readonly WeightedLink[],
  live: readonly number[],
  rotations: Mat3[],
  chosen: Int32Array,
  residual: Float64Array,
): void {
  const from = Int32Array.from(live, (e) => links[e].i);
  const to = Int32Array.from(live, (e) => links[e].j);
  const difference = new Float64Array(3 * live.length);
  const weights = new Float64Array(live.length);
  for (let pass = 0; pass <= PASSES; pass++) {
    live.forEach((e, k) => {
      difference.set(disagreement(links[e], e, rotations, chosen, residual), 3 * k);
    });
    if (pass === PASSES) return;
    const scale = Math.max(NOISE, 2 * upperMedian(live.map((e) => residual[e])));
    live.forEach((e, k) => {
      const q = residual[e] / scale;
      // More matches fix a rotation better, but beyond a hundred other errors rule.
      const worth = Math.min(links[e].inliers, 100);
      if (pass < SPREADING_PASSES) weights[k] = worth / (1 + (residual[e] / SPREADING_SCALE) ** 2);
      else weights[k] = worth * (pass < ABSOLUTE_PASSES ? 1 / Math.max(q, 0.1) : 1 / (1 + q * q) ** 2);
    });
    const change = solveDifferences(count, 3, { from, to, difference }, weights);
    let largest = 0;
    for (let i = 0; i < count; i++) {
      const w = [change[3 * i], change[3 * i + 1], change[3 * i + 2]];
      largest = Math.max(largest, length(w));
      rotations[i] = multiply(rotations[i], rotationFromAxisAngle(w));
    }
    if (largest < SETTLED && pass > ABSOLUTE_PASSES) {
      for (const e of live) disagreement(links[e], e, rotations, chosen, residual);
      return;
    }
  }
}

/** World-frame axis-angle by which j's rotation should turn more than i's, for the candidate that fits best. */
function disagreement(
  link: WeightedLink,
  e: number,
  rotations: readonly Mat3[],
  chosen: Int32Array,
  residual: Float64Array,
): number[] {
  let least = Number.POSITIVE_INFINITY;
  let best: number[] = [0, 0, 0];
  const back = transpose(rotations[link.j]);
  link.rotations.forEach((rotation, candidate) => {
    const w = axisAngleOf(multiply(back, multiply(rotation, rotations[link.i])));
    const angle = length(w);
    if (angle < least) {
      least = angle;
      best = w;
      chosen[e] = candidate;
    }
  });
  residual[e] = least;
  return best;
}
