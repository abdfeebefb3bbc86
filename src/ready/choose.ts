import { type Direction, vectorOf } from "../measure/coverage/directions.js";
import { dot } from "../measure/geometry/vector.js";
import { DisjointSets } from "../measure/parts.js";

/** A photo to choose from. */
export interface Candidate {
  /** Where it was taken from; undefined where that is not known. */
  readonly direction?: Direction | undefined;
  /** How good it is beside the others, stops: 0 is usual, more is better. */
  readonly qualityStops: number;
  readonly bytes: number;
}

export interface ChooseOptions {
  /** Most photos, and most bytes, that may stay. */
  readonly most: number;
  readonly mostBytes: number;
  /** Whether directions, those of the photos that would stay, leave a gap that all of them did not. */
  readonly opensGap: (kept: readonly number[]) => boolean;
  /** Pairs of candidates that share enough to hold together. */
  readonly links: readonly (readonly [number, number])[];
}

export interface Choice {
  /** Places of the candidates that stay, ascending. */
  readonly kept: readonly number[];
  /** What had to be given up to reach the number, beyond what was redundant. */
  readonly given: {
    /** Directions that fewer photos see than three, or than all photos together see them in. */
    readonly directions: number;
    readonly gap: boolean;
    readonly apart: boolean;
  };
}

/** A surface counts as seen up to this angle off its normal: beyond, texture is too foreshortened to match (common practice, no source). */
const SEEN_COSINE = Math.cos(Math.PI / 3);
/** Important areas in at least three images: CAST, University of Arkansas, photogrammetry guide. */
const WANTED_VIEWS = 3;
/** Directions of the surface that are counted, from level to straight above: so far apart. */
const APART_DEG = 10;
/** How many times as much a view counts where a direction is seen once less, so that the least seen are kept first. */
const SCARCITY = 30;
/** The same where only the least seen directions are to decide: more than there are directions. */
const STEEP_SCARCITY = 1000;
/** By the number of views; what is seen more often does not count. */
const SCARCITIES = Array.from({ length: 200 }, (_, views) => SCARCITY ** -views);
const STEEP_SCARCITIES = Array.from({ length: 100 }, (_, views) => STEEP_SCARCITY ** -views);
/** A better photo counts at most twice as much as a usual one: coverage comes before sharpness. */
const MOST_QUALITY_STOPS = 1;
/** Exchanges that are tried after choosing. */
const MOST_SWAPS = 100;
/** Exchanges of two for two that are tried: some tenths of a second. */
const MOST_PAIRS = 20_000;

/**
 * The best N of many: takes away one photo after another, always the one that is missed least, as long as every direction
 * stays seen in three photos where it was, no gap opens and all stay connected; gives these up in this order, and only where
 * the number asks for it. Then exchanges photos where that has the least seen direction seen once more.
 *
 * Choosing by what is missed least is the greedy choice for a submodular gain, taken backwards.
 * @see Nemhauser, Wolsey and Fisher 1978, "An analysis of approximations for maximizing submodular set functions",
 * Mathematical Programming 14 (from memory)
 */
export function choose(candidates: readonly Candidate[], options: ChooseOptions): Choice {
  const seen = seenBy(candidates);
  const wanted = viewsOf(seen, [...candidates.keys()]).map((views) => Math.min(WANTED_VIEWS, views));
  const kept = new Set(candidates.keys());
  const views = viewsOf(seen, [...kept]);
  const wholeAtFirst = isConnected(candidates.length, [...kept], options.links);
  const isTooMuch = () => kept.size > options.most || bytesOf(candidates, kept) > options.mostBytes;
  const staysWhole = (list: readonly number[]) =>
    !wholeAtFirst || isConnected(candidates.length, list, options.links);
  const keeps = (list: readonly number[]) => !options.opensGap(list) && staysWhole(list);
  let needed = new Set<number>();
  // What is still insisted on; where every photo that is left is needed for it, the next is given up.
  let ease = 0;
  while (isTooMuch() && kept.size > 1) {
    const photo = leastMissed(candidates, seen, views, kept, needed);
    if (photo === undefined) {
      ease++;
      needed = new Set();
      continue;
    }
    const without = [...kept].filter((other) => other !== photo);
    const isNeeded =
      (ease < 1 && seen[photo].some((direction) => views[direction] <= wanted[direction])) ||
      (ease < 2 && options.opensGap(without)) ||
      (ease < 3 && !staysWhole(without));
    if (isNeeded) {
      needed.add(photo);
      continue;
    }
    kept.delete(photo);
    for (const direction of seen[photo]) views[direction]--;
  }
  const allowed = (list: readonly number[]) =>
    bytesOf(candidates, new Set(list)) <= options.mostBytes && (ease === 0 ? keeps(list) : staysWhole(list));
  exchange(candidates, seen, views, kept, allowed);
  exchangePairs(candidates, seen, views, kept, allowed);
  const list = [...kept].sort((a, b) => a - b);
  return {
    kept: list,
    given: {
      directions: viewsOf(seen, list).filter((count, direction) => count < wanted[direction]).length,
      gap: options.opensGap(list),
      apart: wholeAtFirst && !isConnected(candidates.length, list, options.links),
    },
  };
}

/** The photo whose going costs least; photos of unknown direction, which cover nothing that is known, go first. */
function leastMissed(
  candidates: readonly Candidate[],
  seen: readonly (readonly number[])[],
  views: readonly number[],
  kept: ReadonlySet<number>,
  needed: ReadonlySet<number>,
): number | undefined {
  let best: number | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const photo of kept) {
    if (needed.has(photo)) continue;
    const cost = costOf(seen[photo], views) * worthOf(candidates[photo]);
    if (cost < least) [best, least] = [photo, cost];
  }
  return best;
}

function costOf(directions: readonly number[], views: readonly number[]): number {
  let cost = 0;
  for (const direction of directions) cost += SCARCITIES[views[direction]] ?? 0;
  return cost;
}

function worthOf({ qualityStops }: Candidate): number {
  return 2 ** Math.max(-MOST_QUALITY_STOPS, Math.min(MOST_QUALITY_STOPS, qualityStops));
}

/** Exchanges one photo for another that was let go, as long as that makes the least seen directions seen more. */
function exchange(
  candidates: readonly Candidate[],
  seen: readonly (readonly number[])[],
  views: number[],
  kept: Set<number>,
  allowed: (list: readonly number[]) => boolean,
): void {
  const refused = new Set<number>();
  const keyOf = (out: number, into: number) => out * candidates.length + into;
  for (let swaps = 0; swaps < MOST_SWAPS; swaps++) {
    let best: { out: number; into: number } | undefined;
    let most = 0;
    for (const into of candidates.keys()) {
      if (kept.has(into) || seen[into].length === 0) continue;
      let gain = 0;
      for (const direction of seen[into]) {
        gain += scarcityOf(views[direction]) - scarcityOf(views[direction] + 1);
        views[direction]++;
      }
      for (const out of kept) {
        let loss = 0;
        for (const direction of seen[out])
          loss += scarcityOf(views[direction] - 1) - scarcityOf(views[direction]);
        if (gain - loss > most && !refused.has(keyOf(out, into))) {
          most = gain - loss;
          best = { out, into };
        }
      }
      for (const direction of seen[into]) views[direction]--;
    }
    if (best === undefined) return;
    const { out, into } = best;
    const list = [...kept].filter((photo) => photo !== out).concat(into);
    if (!allowed(list)) {
      refused.add(keyOf(out, into));
      continue;
    }
    kept.delete(out);
    kept.add(into);
    for (const direction of seen[out]) views[direction]--;
    for (const direction of seen[into]) views[direction]++;
  }
}

/**
 * Exchanges two photos for two others where that makes the least seen directions seen more, as no single exchange does any
 * more. Only of few photos: there are too many pairs of many, and there single exchanges find as good a choice.
 */
function exchangePairs(
  candidates: readonly Candidate[],
  seen: readonly (readonly number[])[],
  views: readonly number[],
  kept: Set<number>,
  allowed: (list: readonly number[]) => boolean,
): void {
  const others = [...candidates.keys()].filter((photo) => !kept.has(photo) && seen[photo].length > 0);
  const outs = pairsOf([...kept]);
  const intos = pairsOf(others);
  if (outs.length * intos.length > MOST_PAIRS) return;
  let best: number[] | undefined;
  let least = scarcityOfAll(views) * (1 - 1e-9);
  for (const out of outs) {
    for (const into of intos) {
      const after = [...views];
      for (const photo of out) for (const direction of seen[photo]) after[direction]--;
      for (const photo of into) for (const direction of seen[photo]) after[direction]++;
      const scarcity = scarcityOfAll(after);
      if (scarcity >= least) continue;
      const list = [...kept].filter((photo) => !out.includes(photo)).concat(into);
      if (allowed(list)) [best, least] = [list, scarcity];
    }
  }
  if (best === undefined) return;
  kept.clear();
  for (const photo of best) kept.add(photo);
}

function pairsOf(photos: readonly number[]): [number, number][] {
  return photos.flatMap((a, k) => photos.slice(k + 1).map((b): [number, number] => [a, b]));
}

function scarcityOfAll(views: readonly number[]): number {
  let sum = 0;
  for (const count of views) sum += scarcityOf(count);
  return sum;
}

/** How scarce so many views of a direction are: the fewer, the more by far. */
function scarcityOf(views: number): number {
  return STEEP_SCARCITIES[views] ?? 0;
}

/** For each photo the directions that it sees. */
function seenBy(candidates: readonly Candidate[]): readonly (readonly number[])[] {
  const rows = Array.from({ length: 90 / APART_DEG + 1 }, (_, row) => row * APART_DEG);
  const directions = rows.flatMap((elevationDeg) => {
    const count = Math.max(1, Math.round((360 / APART_DEG) * Math.cos((elevationDeg * Math.PI) / 180)));
    return Array.from({ length: count }, (_, k) => vectorOf({ azimuthDeg: (360 * k) / count, elevationDeg }));
  });
  return candidates.map(({ direction }) => {
    if (direction === undefined) return [];
    const vector = vectorOf(direction);
    return directions.flatMap((normal, k) => (dot(normal, vector) >= SEEN_COSINE ? [k] : []));
  });
}

function viewsOf(seen: readonly (readonly number[])[], kept: readonly number[]): number[] {
  const most = Math.max(-1, ...seen.flat());
  const views = new Array<number>(most + 1).fill(0);
  for (const photo of kept) for (const direction of seen[photo]) views[direction]++;
  return views;
}

function bytesOf(candidates: readonly Candidate[], kept: ReadonlySet<number>): number {
  let sum = 0;
  for (const photo of kept) sum += candidates[photo].bytes;
  return sum;
}

function isConnected(
  count: number,
  kept: readonly number[],
  links: readonly (readonly [number, number])[],
): boolean {
  const own = new Set(kept);
  const sets = new DisjointSets(count);
  for (const [a, b] of links) if (own.has(a) && own.has(b)) sets.join(a, b);
  return new Set(kept.map((photo) => sets.find(photo))).size <= 1;
}
