/** Two photos by their place in capture order, a < b. */
export interface Candidate {
  readonly a: number;
  readonly b: number;
}

/** Disjoint sets with path halving. */
export class DisjointSets {
  private readonly parent: Int32Array;

  constructor(count: number) {
    this.parent = new Int32Array(count);
    for (let i = 0; i < count; i++) this.parent[i] = i;
  }

  find(i: number): number {
    let at = i;
    while (this.parent[at] !== at) {
      this.parent[at] = this.parent[this.parent[at]];
      at = this.parent[at];
    }
    return at;
  }

  /** Returns false where both were already in one set. The smaller root stays, so results do not depend on order. */
  join(i: number, j: number): boolean {
    const p = this.find(i);
    const q = this.find(j);
    if (p === q) return false;
    this.parent[Math.max(p, q)] = Math.min(p, q);
    return true;
  }
}

/**
 * Connected components of a graph, largest first, equal ones by their first node; nodes ascending within each. A node without
 * links is a component of its own.
 */
export function connectedParts(count: number, links: Iterable<readonly [number, number]>): number[][] {
  const sets = new DisjointSets(count);
  for (const [i, j] of links) sets.join(i, j);
  const byRoot = new Map<number, number[]>();
  for (let i = 0; i < count; i++) {
    const root = sets.find(i);
    const part = byRoot.get(root);
    if (part) part.push(i);
    else byRoot.set(root, [i]);
  }
  return [...byRoot.values()].sort((p, q) => q.length - p.length || p[0] - q[0]);
}

/** The smallest photo index of each photo's connected component; -1 for photos that no link names. */
export function partOfEach(
  count: number,
  links: readonly { readonly a: number; readonly b: number }[],
): Int32Array {
  const sets = new DisjointSets(count);
  const named = new Uint8Array(count);
  for (const { a, b } of links) {
    named[a] = 1;
    named[b] = 1;
    sets.join(a, b);
  }
  return Int32Array.from({ length: count }, (_, i) => (named[i] ? sets.find(i) : -1));
}
