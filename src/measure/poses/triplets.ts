import { rotationAngleDeg } from "../geometry/rotation.js";
import { type Mat3, multiply } from "../geometry/vector.js";

/** A link of the view graph with the rotations that could explain it, best first: X in j = rotation X in i. */
export interface RotationLink {
  readonly i: number;
  readonly j: number;
  readonly rotations: readonly Mat3[];
}

export interface TripletVotes {
  /** votes[link][candidate]: how many triangles close with it, a closer fit counting more; 0 or more. */
  readonly votes: readonly Float64Array[];
  /** Triangles that each link takes part in. */
  readonly triangles: Int32Array;
}

/** Enough triangles to outvote chance; more add time and no certainty. */
const MOST_TRIANGLES = 40;

/**
 * Lets every triangle of photos vote for the candidates whose rotations lead back to the start.
 *
 * @param links i < j, each pair once.
 * @param toleranceDeg largest loop error that counts as closed.
 */
export function tripletVotes(
  count: number,
  links: readonly RotationLink[],
  toleranceDeg: number,
): TripletVotes {
  const votes = links.map((link) => new Float64Array(link.rotations.length));
  const triangles = new Int32Array(links.length);
  const neighbours: Map<number, number>[] = Array.from({ length: count }, () => new Map());
  links.forEach(({ i, j }, index) => {
    neighbours[i].set(j, index);
    neighbours[j].set(i, index);
  });
  links.forEach(({ i, j }, ij) => {
    for (const [k, jk] of neighbours[j]) {
      // Each triangle once, at its lowest pair.
      if (k <= j) continue;
      const ik = neighbours[i].get(k);
      if (ik === undefined) continue;
      if (
        triangles[ij] >= MOST_TRIANGLES &&
        triangles[jk] >= MOST_TRIANGLES &&
        triangles[ik] >= MOST_TRIANGLES
      )
        continue;
      triangles[ij]++;
      triangles[jk]++;
      triangles[ik]++;
      vote(links, votes, ij, jk, ik, toleranceDeg);
    }
  });
  return { votes, triangles };
}

function vote(
  links: readonly RotationLink[],
  votes: readonly Float64Array[],
  ij: number,
  jk: number,
  ik: number,
  toleranceDeg: number,
): void {
  const best = [ij, jk, ik].map((link) => new Float64Array(links[link].rotations.length));
  links[ij].rotations.forEach((first, a) => {
    links[jk].rotations.forEach((second, b) => {
      const path = multiply(second, first);
      links[ik].rotations.forEach((direct, c) => {
        const error = rotationAngleDeg(path, direct);
        if (error > toleranceDeg) return;
        const fit = 1 - error / (2 * toleranceDeg);
        best[0][a] = Math.max(best[0][a], fit);
        best[1][b] = Math.max(best[1][b], fit);
        best[2][c] = Math.max(best[2][c], fit);
      });
    });
  });
  [ij, jk, ik].forEach((link, corner) => {
    best[corner].forEach((fit, candidate) => {
      votes[link][candidate] += fit;
    });
  });
}
