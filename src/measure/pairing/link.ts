import { type Candidate, partOfEach } from "../parts.js";

/** Neighbours on each side that a photo is compared with: a run of two faulty photos is still bridged. */
export const NEIGHBOUR_REACH = 3;

/**
 * Most photos that are compared with all others. Odd ones are few; where more than this hang loose, the set
 * is not connected as a whole, and comparing all with all would cost the square of its size.
 */
const MOST_ODD_PHOTOS = 24;

/** Each photo with the NEIGHBOUR_REACH photos after it. */
export function neighbours(count: number): Candidate[] {
  const candidates: Candidate[] = [];
  for (let a = 0; a < count; a++) {
    for (let b = a + 1; b <= Math.min(count - 1, a + NEIGHBOUR_REACH); b++) candidates.push({ a, b });
  }
  return candidates;
}

/** Of pairs a < b those further apart in capture order than neighbours. */
function furtherApart(alike: readonly (readonly [a: number, b: number])[]): Candidate[] {
  return alike.filter(([a, b]) => b - a > NEIGHBOUR_REACH).map(([a, b]) => ({ a, b }));
}

/**
 * Photos that hang loose: those that link to nothing, and the two on either side of each place where the
 * capture order passes from one connected part to another. Retakes come last in capture order and a new ring
 * starts somewhere else, so these are worth comparing with all others before anything is said of them.
 *
 * @param links the candidates that turned out to be linked
 * @returns in capture order; those that link to nothing first where there are more than MOST_ODD_PHOTOS
 */
export function oddPhotos(count: number, links: readonly Candidate[]): number[] {
  const parts = partOfEach(count, links);
  const lone: number[] = [];
  const border: number[] = [];
  for (let i = 0; i < count; i++) {
    if (parts[i] === -1) lone.push(i);
    else if ((i > 0 && parts[i - 1] !== parts[i]) || (i < count - 1 && parts[i + 1] !== parts[i]))
      border.push(i);
  }
  return [...lone, ...border].slice(0, MOST_ODD_PHOTOS).sort((a, b) => a - b);
}

/** Each of `photos` with every other photo, without the pairs already tried. */
function withAllOthers(count: number, photos: readonly number[], tried: readonly Candidate[]): Candidate[] {
  const key = (a: number, b: number): number => a * count + b;
  const done = new Set(tried.map(({ a, b }) => key(a, b)));
  const candidates: Candidate[] = [];
  for (const photo of photos) {
    for (let other = 0; other < count; other++) {
      const a = Math.min(photo, other);
      const b = Math.max(photo, other);
      if (a === b || done.has(key(a, b))) continue;
      done.add(key(a, b));
      candidates.push({ a, b });
    }
  }
  return candidates;
}

export interface Linking<Result> {
  /** Neighbours whether linked or not, and all other pairs that turned out linked; sorted by a, then b. */
  readonly compared: readonly (Candidate & { readonly result: Result })[];
  /** How many others each photo was compared with. */
  readonly comparedWith: Int32Array;
}

/**
 * Compares neighbours in capture order and pairs that look alike whatever their order, so that a retake at the end meets
 * the photos beside which it was taken, and the last photo of a ring the first; then the odd photos with all others.
 *
 * @param alike pairs a < b of photos that look alike, each once; neighbours are compared while they are being found
 * @param compare does the work for many pairs, in order; `linked` says whether a result is a link
 */
export async function linkPhotos<Result>(
  count: number,
  alike: Promise<readonly (readonly [a: number, b: number])[]>,
  compare: (candidates: readonly Candidate[]) => Promise<readonly Result[]>,
  linked: (result: Result) => boolean,
): Promise<Linking<Result>> {
  const ask = async (candidates: readonly Candidate[]) => {
    const results = await compare(candidates);
    return candidates.map((candidate, i) => ({ ...candidate, result: results[i] }));
  };
  const first = (await Promise.all([ask(neighbours(count)), alike.then(furtherApart).then(ask)])).flat();
  const compared = first.filter(({ a, b, result }) => b - a <= NEIGHBOUR_REACH || linked(result));
  const odd = oddPhotos(
    count,
    compared.filter(({ result }) => linked(result)),
  );
  const second = withAllOthers(count, odd, first);
  compared.push(...(await ask(second)).filter(({ result }) => linked(result)));
  const comparedWith = new Int32Array(count);
  for (const { a, b } of [...first, ...second]) {
    comparedWith[a] += 1;
    comparedWith[b] += 1;
  }
  return { compared: compared.sort((p, q) => p.a - q.a || p.b - q.b), comparedWith };
}
