import type { BandName, ViewsPerDirection } from "../../types/around.js";
import { dot } from "../geometry/vector.js";
import { BAND_NAMES, bandsOf } from "./bands.js";
import { angleBetweenDirections, type Direction, vectorOf, wrap360 } from "./directions.js";

/** A photo's direction around the subject. */
export interface PlacedPhoto extends Direction {
  readonly photo: number;
}

/** From one photo to the next in a band, clockwise seen from above. */
export interface Step {
  readonly fromPhoto: number;
  readonly toPhoto: number;
  /** Difference in azimuth, degrees in [0, 360]. */
  readonly widthDeg: number;
  /** Angle on the sphere between the two azimuths at the mean of the two elevations, degrees in [0, 180]. */
  readonly angleDeg: number;
}

export interface BandCoverage {
  readonly name: BandName;
  /** In the order of their azimuth. */
  readonly photos: readonly number[];
  /** How much of the way round lies between photos rather than in the widest step, degrees in [0, 360). */
  readonly spanDeg: number;
  /** No step of the whole way round is wider, on the sphere, than CLOSED_WITHIN_DEG. */
  readonly closed: boolean;
  /** Every step of the way round, the widest left out where less than 360 degrees is wanted. None overhead. */
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
  readonly bands: readonly BandCoverage[];
  readonly bandGaps: readonly BandGap[];
  readonly viewsPerDirection: ViewsPerDirection;
}

export interface CoverageOptions {
  /** How much of the way round is wanted, degrees in (0, 360]. */
  readonly spanDeg: number;
}

/**
 * The widest step of a closed ring: no descriptor matches well beyond it.
 * @see Moreels and Perona 2007, "Evaluation of features detectors and descriptors based on 3D objects", IJCV 73
 */
const CLOSED_WITHIN_DEG = 30;

/**
 * A photo of a neighbouring band fills a step when it stands between the two photos within this height of the line
 * between them: half of the narrowest gap (25 degrees), so that it leaves no direction further from a photo than a step
 * that is no gap does. On a hemisphere of 70 photos ten degrees called two steps a set gaps (test/evaluate/around.ts).
 */
const FILL_DEG = 12.5;
/** Texture seen more than 60 degrees off its normal is too foreshortened to match (common practice, no source). */
const SEEN_WITHIN_DEG = 60;
const DIRECTION_ELEVATIONS_DEG = [0, 30, 60, 90];
const DIRECTION_STEP_DEG = 15;
const DEGREES = 180 / Math.PI;
const SEEN_COSINE = Math.cos(SEEN_WITHIN_DEG / DEGREES);

/** What the photos cover of the directions around the subject. Facts only: which step is a gap is judged elsewhere. */
export function coverageOf(
  cameras: readonly PlacedPhoto[],
  { spanDeg = 360 }: Partial<CoverageOptions> = {},
): Coverage {
  const names = bandsOf(cameras.map(({ elevationDeg }) => elevationDeg));
  const members = BAND_NAMES.map((name) => cameras.filter((_, i) => names[i] === name).sort(byAzimuth));
  const seen = new Set<string>();
  const bands = BAND_NAMES.flatMap((name, b) => {
    if (members[b].length === 0) return [];
    const others = [members[b - 1] ?? [], members[b + 1] ?? []].flat();
    return [bandCoverage(name, members[b], others, spanDeg, seen)];
  });
  return {
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
  others: readonly PlacedPhoto[],
  wantedDeg: number,
  seen: Set<string>,
): BandCoverage {
  const photos = members.map(({ photo }) => photo);
  // Overhead the azimuth means little: a few photos from above see all there is.
  if (name === "overhead") return { name, photos, spanDeg: 360, closed: true, steps: [] };
  const round = members.length > 1 ? filled(members, others) : [];
  if (round.length === 0) return { name, photos, spanDeg: 0, closed: false, steps: [] };
  const widest = round.reduce((a, b) => (b.step.widthDeg > a.step.widthDeg ? b : a));
  const kept = wantedDeg >= 360 ? round : round.filter((one) => one !== widest);
  const steps = kept
    .filter(({ ownEnd, step }) => {
      const key = `${step.fromPhoto} ${step.toPhoto}`;
      if (!ownEnd || seen.has(key)) return false;
      seen.add(key);
      return true;
    })
    .map(({ step }) => step);
  return {
    name,
    photos,
    spanDeg: 360 - widest.step.widthDeg,
    closed: round.every(({ step }) => step.angleDeg <= CLOSED_WITHIN_DEG),
    steps,
  };
}

interface RoundStep {
  readonly step: Step;
  /** At least one end belongs to the band; a step between two photos of another band is that band's. */
  readonly ownEnd: boolean;
}

/** The steps of the whole way round, photos of neighbouring bands put in where they fill one. */
function filled(members: readonly PlacedPhoto[], others: readonly PlacedPhoto[]): RoundStep[] {
  const own = new Set(members);
  return members.flatMap((from, k) => {
    const to = members[(k + 1) % members.length];
    const width = wrap360(to.azimuthDeg - from.azimuthDeg);
    const between = others
      .map((other) => ({ other, offset: wrap360(other.azimuthDeg - from.azimuthDeg) }))
      .filter(({ other, offset }) => {
        if (offset <= 0 || offset >= width) return false;
        const line = from.elevationDeg + ((to.elevationDeg - from.elevationDeg) * offset) / width;
        return Math.abs(other.elevationDeg - line) <= FILL_DEG;
      })
      .sort((p, q) => p.offset - q.offset)
      .map(({ other }) => other);
    const stops = [from, ...between, to];
    return stops.slice(1).map((stop, s) => ({
      step: stepBetween(stops[s], stop),
      ownEnd: own.has(stops[s]) || own.has(stop),
    }));
  });
}

function stepBetween(from: PlacedPhoto, to: PlacedPhoto): Step {
  const widthDeg = wrap360(to.azimuthDeg - from.azimuthDeg);
  // A difference in height is no hole in the way round, so both are brought to one height.
  const height = (from.elevationDeg + to.elevationDeg) / 2;
  const half = Math.cos(height / DEGREES) * Math.sin(widthDeg / 2 / DEGREES);
  const short = 2 * Math.asin(Math.min(1, Math.max(0, half))) * DEGREES;
  return { fromPhoto: from.photo, toPhoto: to.photo, widthDeg, angleDeg: short };
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
