/** What the checks of where the camera stood share. */
import { angleBetweenDirections } from "../measure/coverage/directions.js";
import { median } from "../measure/statistics.js";
import type { AroundBand, AroundPart, AroundStep, BandName } from "../types/around.js";
import type { Facts } from "../types/facts.js";
import type { JudgedAround, Skipped } from "../types/judgement.js";
import type { LimitRange } from "../types/units.js";
import { type LimitTable, limit } from "./define.js";

/** Limits of every such check: below them the places of the cameras are not judged. */
export const placedLimits = {
  confidence: limit(
    0.3,
    "ratio",
    "rendered sets reach 0.8 and more (test/evaluate/around.ts); at 0.3 two links of three disagree, or half of them do and the lens is unknown; our choice",
  ),
  placed: limit(
    8,
    "photos",
    "fewer are no way round yet, whatever lies between them; our choice",
    // Fewer than three photos are never placed.
    [3, 1_000_000],
  ),
} as const;

export type PlacedLimits = LimitTable<keyof typeof placedLimits>;

/** Parts whose cameras are placed surely enough to be judged, largest first; why there are none, where there are none. */
export function placedParts(
  facts: Facts,
  limits: PlacedLimits,
): { parts: readonly AroundPart[]; skipped: readonly Omit<Skipped, "check">[] } {
  const { around } = facts;
  const large = around.parts.filter(({ cameras }) => cameras.length >= limits.placed.value);
  const parts = large.filter(({ confidence }) => confidence >= limits.confidence.value);
  if (parts.length > 0) return { parts, skipped: [] };
  const alike = around.unplaced?.some((one) => one.reason === "sides look alike") === true;
  const [reason] = [
    ...(alike ? ["sides of the subject look alike, and nothing around tells which one a photo shows"] : []),
    ...(large.length > 0 ? ["where the camera stood is too uncertain to be judged"] : []),
    ...(around.parts.some(({ photos }) => photos.length >= limits.placed.value)
      ? ["the photos do not look at one subject from around it"]
      : []),
    "too few photos hang together to tell where the camera stood",
  ] as [string];
  return { parts, skipped: [{ photos: [], reason }] };
}

/** What renderers show of the way round, settled by the limits of the check "gap". */
export function judgedAround(facts: Facts, limits: PlacedLimits & LimitTable<"step">): JudgedAround {
  const { parts } = placedParts(facts, limits);
  const widestDeg = limits.step.value;
  const steps = facts.around.parts.flatMap(({ bands }) => bands.flatMap((band) => band.steps));
  const inRings = parts.flatMap((part) =>
    ringsOf(part, facts.around.wantedSpanDeg).flatMap((ring) => ring.steps),
  );
  return {
    placed: parts,
    wide: new Set(steps.filter(({ angleDeg }) => angleDeg > widestDeg)),
    gaps: new Set(inRings.filter((step) => isSurelyOpen(step, widestDeg))),
  };
}

/** A piece of the way round: more than a step, up to all of it, degrees. */
export const WAY_ROUND: LimitRange = [1, 360];

/** The widest step that still matches. */
export const widestStep = limit(
  25,
  "degrees",
  "no detector and descriptor good beyond 25 to 30 degrees: Moreels & Perona 2007, Evaluation of features detectors and descriptors based on 3D objects (IJCV 73)",
);

/** Where a gap ends to be one. */
export const openSide = limit(
  90,
  "degrees",
  "a quarter of the way round is no gap (gap) but an open ring (open-ring); our choice",
  WAY_ROUND,
);

/** The step to walk with. */
export const goodStep = limit(
  15,
  "degrees",
  "steps of 10 to 15 degrees: Swedish National Heritage Board, 3D-model guide (10); common practice (15)",
);

/** From where on a step that may be a gap is worth a word although nobody knows for sure. */
export const vagueStep = limit(
  30,
  "degrees",
  "the upper end of that range: between, a step that may be too wide is told as a wide one (wide-step)",
);

/** The photos of one height as a way round. */
export interface Ring {
  readonly band: AroundBand;
  readonly steps: readonly AroundStep[];
  /** Middle of the angles of its steps, degrees. */
  readonly stepDeg: number;
}

/**
 * Share of the wanted way round that photos of one height have to go for a ring: most of it, so that what lacks is a hole in
 * the ring. Fewer are extra views, which need not close. Our choice; it says what is spoken of and is no limit.
 */
const RING_SHARE = 0.55;
/** Nor do fewer photos make one: three from above stand close together all the way round, as all do near the pole. */
const FEWEST_IN_RING = 6;

/**
 * The rings of a part: heights whose photos go most of the wanted way round; where none do, the one that goes furthest.
 * Nothing has to be seen from below: what stands there shows no underside.
 */
export function ringsOf(part: AroundPart, wantedSpanDeg: number): readonly Ring[] {
  const bands = part.bands.filter(({ name, photos }) => name !== "below" && photos.length > 1);
  const rings = bands.filter((band) => isRing(band, wantedSpanDeg));
  const level = bands.filter(({ name }) => name !== "overhead");
  const furthest = level.reduce<AroundBand | undefined>(
    (best, band) => (best !== undefined && goesFurther(best, band) ? best : band),
    undefined,
  );
  const seen = new Set<string>();
  return (rings.length > 0 ? rings : furthest === undefined ? [] : [furthest]).map((band) => ({
    band,
    // A step from one height to another belongs to both.
    steps: band.steps.filter(({ fromPhoto, toPhoto }) => {
      const key = `${fromPhoto}\n${toPhoto}`;
      return !seen.has(key) && seen.add(key) !== undefined;
    }),
    stepDeg: band.steps.length === 0 ? 0 : median(band.steps.map(({ angleDeg }) => angleDeg)),
  }));
}

export function isRing({ photos, spanDeg }: AroundBand, wantedSpanDeg: number): boolean {
  return photos.length >= FEWEST_IN_RING && spanDeg >= RING_SHARE * wantedSpanDeg;
}

function goesFurther(one: AroundBand, other: AroundBand): boolean {
  return (one.spanDeg - other.spanDeg || one.photos.length - other.photos.length) >= 0;
}

/** Whether a step is too wide and photos of other heights do not look within a step of it, all the way across. */
export function isOpen(
  { angleDeg, bridgedWithinDeg }: Pick<AroundStep, "angleDeg" | "bridgedWithinDeg">,
  widestDeg: number,
): boolean {
  return angleDeg > widestDeg && !(bridgedWithinDeg !== undefined && bridgedWithinDeg <= widestDeg);
}

/** The same beyond doubt: by its width, and the height of those photos, less twice the standard error. */
export function isSurelyOpen(step: AroundStep, widestDeg: number): boolean {
  const { angleDeg, uncertaintyDeg, bridgedWithinDeg = Number.POSITIVE_INFINITY } = step;
  return Math.min(angleDeg, bridgedWithinDeg) - 2 * uncertaintyDeg > widestDeg;
}

/**
 * Photos without a place beside the others that may stand in a step: they share something with photos within `stepDeg` of its
 * ends, or were taken next to them; where no times say so, any may.
 */
function perhapsInside(
  { fromPhoto, toPhoto }: AroundStep,
  { cameras }: AroundPart,
  { photos, pairs, orderedBy }: Facts,
  stepDeg: number,
): string[] {
  const placed = new Set(cameras.map(({ file }) => file));
  const ends = cameras.filter(({ file }) => file === fromPhoto || file === toPhoto);
  const beside = new Set(
    cameras
      .filter((camera) => ends.some((end) => angleBetweenDirections(end, camera) <= stepDeg))
      .map(({ file }) => file),
  );
  const shares = (file: string): boolean =>
    pairs.some(
      ({ a, b, verifiedMatches }) =>
        verifiedMatches > 0 && ((a === file && beside.has(b)) || (b === file && beside.has(a))),
    );
  const takenBeside = (at: number): boolean =>
    [photos.slice(0, at).reverse(), photos.slice(at + 1)].some((way) => {
      const next = way.find(({ file }) => placed.has(file));
      return next !== undefined && beside.has(next.file);
    });
  return photos.flatMap(({ file }, at) =>
    !placed.has(file) && (orderedBy !== "capture time" || shares(file) || takenBeside(at)) ? [file] : [],
  );
}

/** Whether a step would be no gap beyond doubt if so many photos more stood in it in even steps. */
function mayBeFilled(step: AroundStep, photos: number, widestDeg: number): boolean {
  return photos > 0 && !isSurelyOpen({ ...step, angleDeg: step.angleDeg / (photos + 1) }, widestDeg);
}

/** Why nobody knows whether an open step lacks photos; undefined where by the angles alone that is known. */
export function doubtOf(
  step: AroundStep,
  part: AroundPart,
  facts: Facts,
  widestDeg: number,
): string | undefined {
  const notKnown = "whether photos are missing between them is not known";
  if (!isSurelyOpen(step, widestDeg))
    return `${notKnown}: they stand ${inDegrees(step.angleDeg)} apart, give or take ${inDegrees(2 * step.uncertaintyDeg)}`;
  const inside = perhapsInside(step, part, facts, widestDeg);
  return mayBeFilled(step, inside.length, widestDeg)
    ? `${notKnown}: ${inside.length === 1 ? inside[0] : `${inside.length} photos`}, which could not be placed, may stand there`
    : undefined;
}

/** Whether most of a ring's steps are too wide: then it was walked so, which is reported once, not step by step. */
export function walkedTooWide({ steps }: Ring, widestDeg: number): boolean {
  const wide = steps.filter((step) => isSurelyOpen(step, widestDeg)).length;
  return steps.length > 2 && 2 * wide > steps.length;
}

/** The steps of a ring that are holes in it: surely too wide, and not as wide as all the others. */
export function holesOf(ring: Ring, { step, hole }: LimitTable<"step" | "hole">): readonly AroundStep[] {
  const least = walkedTooWide(ring, step.value) ? hole.value * ring.stepDeg : 0;
  return ring.steps.filter((one) => isSurelyOpen(one, step.value) && one.angleDeg > least);
}

/** Whether other photos than the part's go round somewhere else: then nobody knows how wide the part's open side is. */
export function isSplit(facts: Facts): boolean {
  return facts.around.parts.filter(({ cameras }) => cameras.length > 0).length > 1;
}

/**
 * Photos to take between the ends of a step so that none is wider than `goodDeg`; 1 at the least. They are counted along
 * the circle that one walks at that height, which is shorter the higher one looks from.
 */
export function photosIn(
  { widthDeg, angleDeg }: Pick<AroundStep, "widthDeg" | "angleDeg">,
  goodDeg: number,
): number {
  const chord = Math.sin((widthDeg * Math.PI) / 720);
  const level = chord < 1e-6 ? 1 : Math.min(1, Math.sin((angleDeg * Math.PI) / 720) / chord);
  return Math.max(1, Math.ceil((widthDeg * level) / goodDeg - 1e-9) - 1);
}

/** "1 more photo", "2 more photos". */
export function morePhotos(count: number): string {
  return `${count} more ${count === 1 ? "photo" : "photos"}`;
}

/** The two ends of a step in capture order, as findings name them. */
export function inCaptureOrder(facts: Facts, one: string, other: string): [string, string] {
  const place = (file: string): number => facts.photos.findIndex((photo) => photo.file === file);
  return place(one) <= place(other) ? [one, other] : [other, one];
}

/** Where a direction lies on a clock face seen from above, with the photo at azimuth 0 at 6 o'clock: 1 to 12. */
export function clockOf(azimuthDeg: number): number {
  return ((Math.round(azimuthDeg / 30) + 5) % 12) + 1;
}

/** "about 9 o'clock, where jug_001.jpg is at 6": the middle of the way clockwise from one photo to another. */
export function clockBetween(part: AroundPart, fromPhoto: string, widthDeg: number): string {
  const from = part.cameras.find(({ file }) => file === fromPhoto);
  const first = part.cameras.find(({ azimuthDeg }) => azimuthDeg === 0);
  const hour = clockOf((from?.azimuthDeg ?? 0) + widthDeg / 2);
  return `about ${hour} o'clock${first === undefined ? "" : ` (${first.file} is at 6)`}`;
}

/** "at middle height" */
export const atHeight: Readonly<Record<BandName, string>> = {
  below: "from below",
  low: "low down",
  middle: "at middle height",
  high: "high up",
  overhead: "overhead",
};

const reach =
  "to reach higher, put the phone on a stick or stand on something firm, as the rules of the house allow";

/** How to hold the phone for a height. */
export const howToHold: Readonly<Record<BandName, string>> = {
  below: "lay the subject on its side, so that its underside shows",
  low: "hold the phone about level with the subject",
  middle: "hold the phone above the subject, looking down a little",
  high: `hold the phone high, looking down steeply; ${reach}`,
  overhead: `hold the phone over the subject, looking straight down; ${reach}`,
};

/** Degrees for people: whole ones. */
export function inDegrees(degrees: number): string {
  const whole = Math.round(degrees);
  return `${whole} ${whole === 1 ? "degree" : "degrees"}`;
}
