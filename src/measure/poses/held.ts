import { withArena } from "../../kernels/arena.js";
import { factorise, substitute } from "./cholesky.js";

/** Two photos of one world and how many of their matches fit it. */
export interface Hold {
  readonly i: number;
  readonly j: number;
  readonly fitting: number;
}

/** So many photos' equations are solved at once. */
const MOST_SOLVED = 300;

export interface FirmOptions {
  readonly enough: number;
  readonly apart: number;
}

/**
 * Photos in groups, largest first, none of which hangs on the others by few matches at one place: such may be a chance
 * likeness that moves all that hangs on it. Two places of a loop confirm each other, with however few matches.
 *
 * @param photos ascending
 * @param holds between them
 * @param enough matches that hold a group on the others at one place
 * @param apart links from one photo to another within which both are at one place; 0: each photo is a place of its own
 * @returns each ascending
 */
export function firmGroups(
  photos: readonly number[],
  holds: readonly Hold[],
  { enough, apart }: FirmOptions,
): number[][] {
  const groups: number[][] = [];
  for (let rest = photos; rest.length > 0; ) {
    const held = heldWithCore(rest, holds, { enough, apart });
    const own = new Set(held);
    rest = rest.filter((photo) => !own.has(photo));
    groups.push(held);
  }
  return groups.sort((a, b) => b.length - a.length);
}

/** Photos that are held on the one whose links have most matches, that one among them. */
function heldWithCore(
  photos: readonly number[],
  holds: readonly Hold[],
  { enough, apart }: FirmOptions,
): number[] {
  const graph = new Graph(photos, holds);
  const core = graph.strongest();
  const loose = new Set<number>();
  for (const node of photos.keys()) {
    if (node === core || loose.has(node)) continue;
    const cut = graph.cutBetween(node, core, enough);
    if (cut !== undefined && graph.isOnePlace(cut, apart)) for (const one of cut) loose.add(one);
  }
  return photos.filter((_, node) => !loose.has(node));
}

/** Photos as nodes, numbered from 0, and the matches between them as capacities. */
class Graph {
  readonly #next: { to: number; edge: number }[][];
  /** Two an undirected edge, 2k one way and 2k + 1 the other. */
  readonly #capacity: Float64Array;
  readonly #left: Float64Array;

  constructor(photos: readonly number[], holds: readonly Hold[]) {
    const place = new Map(photos.map((photo, node) => [photo, node]));
    this.#next = photos.map(() => []);
    const capacities: number[] = [];
    for (const { i, j, fitting } of holds) {
      const [p, q] = [place.get(i), place.get(j)];
      if (p === undefined || q === undefined) continue;
      this.#next[p].push({ to: q, edge: capacities.length });
      this.#next[q].push({ to: p, edge: capacities.length + 1 });
      capacities.push(fitting, fitting);
    }
    this.#capacity = Float64Array.from(capacities);
    this.#left = this.#capacity.slice();
  }

  strongest(): number {
    const sums = this.#next.map((own) => own.reduce((sum, { edge }) => sum + this.#capacity[edge], 0));
    return sums.reduce((best, sum, node) => (sum > sums[best] ? node : best), 0);
  }

  /**
   * The nodes on one node's side of the smallest cut between two; undefined where `enough` matches or more cross it.
   *
   * @see Edmonds and Karp 1972, "Theoretical improvements in algorithmic efficiency for network flow problems", Journal of
   *   the ACM 19 (cited from memory).
   */
  cutBetween(from: number, to: number, enough: number): Set<number> | undefined {
    this.#left.set(this.#capacity);
    for (let flow = 0; flow < enough; ) {
      const cameBy = this.#search(from, to);
      if (!cameBy.has(to)) return new Set([...cameBy.keys(), from]);
      const path: number[] = [];
      for (let node = to; node !== from; ) {
        const step = cameBy.get(node) as { from: number; edge: number };
        path.push(step.edge);
        node = step.from;
      }
      const least = Math.min(...path.map((edge) => this.#left[edge]));
      for (const edge of path) {
        this.#left[edge] -= least;
        this.#left[edge ^ 1] += least;
      }
      flow += least;
    }
    return undefined;
  }

  #search(from: number, to: number): Map<number, { from: number; edge: number }> {
    const cameBy = new Map<number, { from: number; edge: number }>();
    const queue = [from];
    for (const node of queue) {
      for (const { to: next, edge } of this.#next[node]) {
        if (this.#left[edge] <= 0 || next === from || cameBy.has(next)) continue;
        cameBy.set(next, { from: node, edge });
        if (next === to) return cameBy;
        queue.push(next);
      }
    }
    return cameBy;
  }

  /** Whether all links that leave a group meet the others within so many links of one another. */
  isOnePlace(group: ReadonlySet<number>, apart: number): boolean {
    const ends = new Set(
      [...group].flatMap((node) => this.#next[node].flatMap(({ to }) => (group.has(to) ? [] : [to]))),
    );
    const [first] = ends;
    if (first === undefined) return true;
    const reached = new Map([[first, 0]]);
    for (const [node, links] of reached) {
      if (links === apart) continue;
      for (const { to } of this.#next[node])
        if (!group.has(to) && !reached.has(to)) reached.set(to, links + 1);
    }
    return [...ends].every((node) => reached.has(node));
  }
}

/**
 * How loosely the photos of one connected world are held: the variance of each photo's place, from those of all, where every
 * match tells the step between two photos with variance 1.
 *
 * @param photos ascending, connected by `holds`
 * @returns one a photo; of more than 300 photos, roughly: along the shortest chain to the photo that is held best
 * @see Barooah and Hespanha 2007, "Estimation on graphs from relative measurements", IEEE Control Systems Magazine 27: the
 *   variance is the effective resistance of the graph (cited from memory).
 */
export function loosenessOf(photos: readonly number[], holds: readonly Hold[]): number[] {
  const place = new Map(photos.map((photo, node) => [photo, node]));
  const own = holds.flatMap(({ i, j, fitting }) => {
    const [p, q] = [place.get(i), place.get(j)];
    return p === undefined || q === undefined || fitting === 0 ? [] : [{ p, q, fitting }];
  });
  return photos.length <= MOST_SOLVED ? resistances(photos.length, own) : pathBounds(photos.length, own);
}

type Link = Readonly<{ p: number; q: number; fitting: number }>;

/** Diagonal of the Laplacian's pseudoinverse: (L + J / n)^-1 - J / n, where J is all ones. */
function resistances(count: number, links: readonly Link[]): number[] {
  return withArena((arena) => {
    const at = arena.filled(8 * count * count);
    const l = arena.f64(at, count * count).fill(1 / count);
    for (const { p, q, fitting } of links) {
      l[p * count + p] += fitting;
      l[q * count + q] += fitting;
      l[p * count + q] -= fitting;
      l[q * count + p] -= fitting;
    }
    if (!factorise(at, count)) return new Array<number>(count).fill(Number.POSITIVE_INFINITY);
    return Array.from({ length: count }, (_, node) => {
      const column = new Float64Array(count);
      column[node] = 1;
      substitute(l, count, column);
      return column[node] - 1 / count;
    });
  });
}

/** The variance along the shortest chain to the photo that is held best: 0 at that one, too much where chains run side by side. */
function pathBounds(count: number, links: readonly Link[]): number[] {
  const next = Array.from({ length: count }, (): { to: number; variance: number }[] => []);
  const strength = new Float64Array(count);
  for (const { p, q, fitting } of links) {
    next[p].push({ to: q, variance: 1 / fitting });
    next[q].push({ to: p, variance: 1 / fitting });
    strength[p] += fitting;
    strength[q] += fitting;
  }
  const bounds = new Array<number>(count).fill(Number.POSITIVE_INFINITY);
  bounds[strength.indexOf(Math.max(...strength))] = 0;
  const open = new Set(bounds.keys());
  while (open.size > 0) {
    let nearest = -1;
    for (const node of open) if (nearest < 0 || bounds[node] < bounds[nearest]) nearest = node;
    open.delete(nearest);
    for (const { to, variance } of next[nearest])
      bounds[to] = Math.min(bounds[to], bounds[nearest] + variance);
  }
  return bounds;
}
