import type { BandName, ViewsPerDirection } from "../../types/around.js";
import { dot } from "../geometry/vector.js";
import { DisjointSets } from "../parts.js";
import { BAND_NAMES, bandsOf } from "./bands.js";
import { angleBetweenDirections, type Direction, vectorOf, wrap360 } from "./directions.js";

/** A photo's direction around the subject. */
export interface PlacedPhoto extends Direction {
  readonly photo: number;
  /** Standard error of the azimuth, degrees; 0 at the photo that the azimuth is counted from. */
  readonly uncertaintyDeg: number;
  /** Number of the group that stands or falls together, and the error that all of it shares, which is part of the above. */
  readonly group?: number;
  readonly sharedDeg?: number;
}

/** From one photo to the next in a band, clockwise seen from above. */
export interface Step {
  readonly fromPhoto: number;
  readonly toPhoto: number;
  /** Difference in azimuth, degrees in [0, 360]. */
  readonly widthDeg: number;
  /**
   * How far the viewing direction turns on the way at this height: twice the turn from the photo nearest to its middle,
   * degrees in [0, 360].
   */
  readonly angleDeg: number;
  /** Standard error of the angle, degrees. */
  readonly uncertaintyDeg: number;
  /**
   * How far above or below the way photos stand that lead from one end to the other in steps no wider than MATCHED_DEG,
   * degrees: the nearest that do. Absent where none do.
   */
  readonly bridgedWithinDeg?: number;
}

export interface BandCoverage {
  readonly name: BandName;
  /** In the order of their azimuth. */
  readonly photos: readonly number[];
  /** How much of the way round lies in steps no wider than MATCHED_DEG, degrees of azimuth in [0, 360]. */
  readonly spanDeg: number;
  /** A loop of links between photos at this height goes once round. */
  readonly closed: boolean;
  /** Every step of the way round, the widest left out where less than 360 degrees is wanted. */
  readonly steps: readonly Step[];
}

/** The nearest two photos of two bands that follow one another. */
export interface BandGap {
  readonly lower: BandName;
  readonly upper: BandName;
  readonly fromPhoto: number;
  readonly toPhoto: number;
  readonly angleDeg: number;
}

export interface Coverage {
  /** A loop of links between photos of any height goes once round the subject. */
  readonly closed: boolean;
  readonly bands: readonly BandCoverage[];
  readonly bandGaps: readonly BandGap[];
  readonly viewsPerDirection: ViewsPerDirection;
}

export interface CoverageOptions {
  /** How much of the way round is wanted, degrees in (0, 360]. */
  readonly spanDeg: number;
}

/** Two photos that are known to show the same surface. */
export type PhotoLink = Readonly<{ i: number; j: number }>;

/**
 * The widest step across which photos match: no descriptor does well beyond it.
 * @see Moreels and Perona 2007, "Evaluation of features detectors and descriptors based on 3D objects", IJCV 73
 */
const MATCHED_DEG = 30;

/**
 * A photo of another band belongs to the way between two photos when it stands within this height of it: half of the
 * narrowest gap (25 degrees), so that it leaves no direction further from a photo than a step that is no gap does. On a
 * hemisphere of 70 photos ten degrees called two steps a set gaps (test/evaluate/around.ts).
 */
const SAME_WAY_DEG = 12.5;
/** How finely the way between two photos is looked at; its middle always is. */
const WAY_STEP_DEG = 2;
/** Texture seen more than 60 degrees off its normal is too foreshortened to match (common practice, no source). */
const SEEN_WITHIN_DEG = 60;
const DIRECTION_ELEVATIONS_DEG = [0, 30, 60, 90];
const DIRECTION_STEP_DEG = 15;
/** From here on up or down going round turns little: "overhead" begins here. */
const STEEP_DEG = 65;
const DEGREES = 180 / Math.PI;
const SEEN_COSINE = Math.cos(SEEN_WITHIN_DEG / DEGREES);

/**
 * What the photos cover of the directions around the subject. Facts only: which step is a gap is judged elsewhere.
 *
 * @param links pairs of photos whose places agree with what they share; a ring closes by them alone
 */
export function coverageOf(
  cameras: readonly PlacedPhoto[],
  { spanDeg = 360 }: Partial<CoverageOptions> = {},
  links: readonly PhotoLink[] = [],
): Coverage {
  const names = bandsOf(cameras.map(({ elevationDeg }) => elevationDeg));
  const members = BAND_NAMES.map((name) => cameras.filter((_, i) => names[i] === name).sort(byAzimuth));
  const bands = BAND_NAMES.flatMap((name, b) =>
    members[b].length === 0 ? [] : [bandCoverage(name, members[b], cameras, links, spanDeg)],
  );
  return {
    closed: goesRound(cameras, links),
    bands,
    bandGaps: bandGapsOf(members),
    viewsPerDirection: viewsPerDirection(cameras),
  };
}

function byAzimuth(p: PlacedPhoto, q: PlacedPhoto): number {
  return p.azimuthDeg - q.azimuthDeg || p.photo - q.photo;
}

function bandCoverage(
  name: BandName,
  members: readonly PlacedPhoto[],
  cameras: readonly PlacedPhoto[],
  links: readonly PhotoLink[],
  wantedDeg: number,
): BandCoverage {
  const photos = members.map(({ photo }) => photo);
  if (members.length < 2) return { name, photos, spanDeg: 0, closed: false, steps: [] };
  const stops = members.flatMap((from, k) => [
    from,
    ...onTheWay(from, members[(k + 1) % members.length], cameras),
  ]);
  const round = stops.map((from, k) => stepBetween(from, stops[(k + 1) % stops.length], cameras));
  const widest = round.reduce((a, b) => (b.angleDeg > a.angleDeg ? b : a));
  const own = new Set(photos);
  return {
    name,
    photos,
    spanDeg: round
      .filter(({ angleDeg }) => angleDeg <= MATCHED_DEG)
      .reduce((sum, { widthDeg }) => sum + widthDeg, 0),
    closed: goesRound(stops, links),
    // A step between two photos of another band is that band's.
    steps: round.filter(
      (step) => (own.has(step.fromPhoto) || own.has(step.toPhoto)) && (wantedDeg >= 360 || step !== widest),
    ),
  };
}

/** Photos between two others, the way a clock goes, each with how far above (below: negative) the line between them. */
function between(
  from: PlacedPhoto,
  to: PlacedPhoto,
  cameras: readonly PlacedPhoto[],
): { camera: PlacedPhoto; offsetDeg: number; aboveDeg: number }[] {
  const width = wrap360(to.azimuthDeg - from.azimuthDeg);
  return cameras.flatMap((camera) => {
    const offsetDeg = wrap360(camera.azimuthDeg - from.azimuthDeg);
    if (offsetDeg <= 0 || offsetDeg >= width) return [];
    const line = from.elevationDeg + ((to.elevationDeg - from.elevationDeg) * offsetDeg) / width;
    return [{ camera, offsetDeg, aboveDeg: camera.elevationDeg - line }];
  });
}

/** Photos at the height of the way between two others, in its order. */
function onTheWay(from: PlacedPhoto, to: PlacedPhoto, cameras: readonly PlacedPhoto[]): PlacedPhoto[] {
  return between(from, to, cameras)
    .filter(({ aboveDeg }) => Math.abs(aboveDeg) <= SAME_WAY_DEG)
    .sort((p, q) => p.offsetDeg - q.offsetDeg || p.camera.photo - q.camera.photo)
    .map(({ camera }) => camera);
}

/**
 * The step from one photo to another at about its height, how empty the way between them is, and what leads across it.
 *
 * @param cameras photos of all heights, those two among them
 */
export function stepBetween(from: PlacedPhoto, to: PlacedPhoto, cameras: readonly PlacedPhoto[]): Step {
  const widthDeg = wrap360(to.azimuthDeg - from.azimuthDeg);
  const angleDeg = emptinessOf(from, widthDeg, to, cameras);
  const bridgedWithinDeg = bridgeOver(from, to, cameras);
  return {
    fromPhoto: from.photo,
    toPhoto: to.photo,
    widthDeg,
    angleDeg,
    uncertaintyDeg: stepSigma(from, to) * (widthDeg === 0 ? 1 : angleDeg / widthDeg),
    ...(bridgedWithinDeg === undefined ? {} : { bridgedWithinDeg }),
  };
}

/** Standard error of the way between two photos, degrees: what both share moves both alike. */
function stepSigma(from: PlacedPhoto, to: PlacedPhoto): number {
  const shared = from.group === to.group ? (from.sharedDeg ?? 0) : 0;
  const own = ({ uncertaintyDeg }: PlacedPhoto) => Math.sqrt(Math.max(0, uncertaintyDeg ** 2 - shared ** 2));
  return Math.hypot(own(from), own(to));
}

/**
 * Twice the angle from the emptiest direction on the way to the photo nearest to it, whatever its height. Both ends are
 * brought to one height: a difference in height is no hole in the way round.
 */
function emptinessOf(
  from: PlacedPhoto,
  widthDeg: number,
  to: PlacedPhoto,
  cameras: readonly PlacedPhoto[],
): number {
  const elevationDeg = (from.elevationDeg + to.elevationDeg) / 2;
  const at = (offsetDeg: number) =>
    vectorOf({ azimuthDeg: wrap360(from.azimuthDeg + offsetDeg), elevationDeg });
  const stands = [at(0), at(widthDeg), ...cameras.filter((one) => one !== from && one !== to).map(vectorOf)];
  const parts = 2 * Math.max(1, Math.ceil(widthDeg / (2 * WAY_STEP_DEG)));
  let emptiest = 1;
  for (let k = 1; k < parts; k++) {
    const direction = at((k * widthDeg) / parts);
    let nearest = -1;
    for (const stand of stands) nearest = Math.max(nearest, dot(direction, stand));
    emptiest = Math.min(emptiest, nearest);
  }
  // What rounding adds must not carry a step over a limit that it just meets.
  return Math.round(2e9 * Math.acos(Math.min(1, Math.max(-1, emptiest))) * DEGREES) / 1e9;
}

/** See {@link Step.bridgedWithinDeg}: photos join, those nearest the way first, until they lead across. */
function bridgeOver(from: PlacedPhoto, to: PlacedPhoto, cameras: readonly PlacedPhoto[]): number | undefined {
  const inside = between(from, to, cameras).sort((p, q) => Math.abs(p.aboveDeg) - Math.abs(q.aboveDeg));
  const stands = [from, to, ...inside.map(({ camera }) => camera)];
  const joined = new DisjointSets(stands.length);
  for (const [k, { aboveDeg }] of inside.entries()) {
    for (let other = 0; other < k + 2; other++)
      if (angleBetweenDirections(stands[k + 2], stands[other]) <= MATCHED_DEG) joined.join(k + 2, other);
    if (joined.find(0) === joined.find(1)) return Math.abs(aboveDeg);
  }
  return undefined;
}

/**
 * Whether a loop of links goes once round the subject: going from photo to photo along links, one comes back to the first
 * after a whole turn. Links over more than SEEN_WITHIN_DEG count for nothing, as what they match is not the subject's
 * surface; nor do photos from straight above or below, which go round a point.
 */
export function goesRound(
  cameras: readonly (Direction & { photo: number })[],
  links: readonly PhotoLink[],
): boolean {
  const turning = cameras.filter(({ elevationDeg }) => Math.abs(elevationDeg) < STEEP_DEG);
  const place = new Map(turning.map(({ photo }, k) => [photo, k]));
  const next = turning.map((): { to: number; turnDeg: number }[] => []);
  for (const { i, j } of links) {
    const [p, q] = [place.get(i), place.get(j)];
    if (p === undefined || q === undefined) continue;
    if (angleBetweenDirections(turning[p], turning[q]) > SEEN_WITHIN_DEG) continue;
    const clockwise = wrap360(turning[q].azimuthDeg - turning[p].azimuthDeg);
    const turnDeg = clockwise > 180 ? clockwise - 360 : clockwise;
    next[p].push({ to: q, turnDeg });
    next[q].push({ to: p, turnDeg: -turnDeg });
  }
  const turned = new Array<number | undefined>(turning.length).fill(undefined);
  for (const root of turning.keys()) {
    if (turned[root] !== undefined) continue;
    turned[root] = 0;
    const queue = [root];
    for (const p of queue) {
      for (const { to, turnDeg } of next[p]) {
        const here = (turned[p] as number) + turnDeg;
        const already = turned[to];
        if (already === undefined) {
          turned[to] = here;
          queue.push(to);
        } else if (Math.abs(here - already) > 180) return true;
      }
    }
  }
  return false;
}

function bandGapsOf(members: readonly (readonly PlacedPhoto[])[]): BandGap[] {
  const vectors = members.map((some) => some.map(vectorOf));
  const present = members.map((_, b) => b).filter((b) => members[b].length > 0);
  return present.slice(1).map((upper, k) => {
    const lower = present[k];
    let [low, high, largest] = [0, 0, Number.NEGATIVE_INFINITY];
    vectors[lower].forEach((p, i) => {
      for (let j = 0; j < vectors[upper].length; j++) {
        const cosine = dot(p, vectors[upper][j]);
        if (cosine > largest) [low, high, largest] = [i, j, cosine];
      }
    });
    const [from, to] = [members[lower][low], members[upper][high]];
    const angleDeg = angleBetweenDirections(from, to);
    return {
      lower: BAND_NAMES[lower],
      upper: BAND_NAMES[upper],
      fromPhoto: from.photo,
      toPhoto: to.photo,
      angleDeg,
    };
  });
}

function viewsPerDirection(cameras: readonly Direction[]): ViewsPerDirection {
  const azimuthsDeg = Array.from({ length: 360 / DIRECTION_STEP_DEG }, (_, i) => i * DIRECTION_STEP_DEG);
  const vectors = cameras.map(vectorOf);
  const counts = DIRECTION_ELEVATIONS_DEG.map((elevationDeg) =>
    azimuthsDeg.map((azimuthDeg) => {
      const direction = vectorOf({ azimuthDeg, elevationDeg });
      return vectors.filter((vector) => dot(vector, direction) >= SEEN_COSINE).length;
    }),
  );
  return { withinDeg: SEEN_WITHIN_DEG, elevationsDeg: DIRECTION_ELEVATIONS_DEG, azimuthsDeg, counts };
}
