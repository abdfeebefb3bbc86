import type { AroundBand, BandName } from "../types/around.js";
import type { Finding } from "../types/judgement.js";
import type { Report } from "../types/report.js";

/** Where to stand. Directions are a clock's, seen from above, with the subject in its middle. */
export interface Place {
  /** 1 to 12; absent where no direction is known. */
  readonly hour?: number;
  /** Where several photos are taken from one hour to another, clockwise: the last. */
  readonly toHour?: number;
  /** The photo that stands at 6 o'clock. */
  readonly sixOClock?: string;
  readonly height?: BandName;
  /** The good photos to both sides, clockwise; fewer than two where none is known on a side. */
  readonly between: readonly string[];
  /** Sorts places into one walk: part by part, height by height from low down, clockwise from 6 o'clock. */
  readonly walk: readonly [part: number, height: number, azimuthDeg: number];
}

/** The heights in the order one walks them. */
const WALKED: readonly BandName[] = ["low", "middle", "high", "overhead", "below"];

/** Heights for people. */
export const heightWords: Readonly<Record<BandName, string>> = {
  below: "from below",
  low: "low down",
  middle: "at middle height",
  high: "high up",
  overhead: "overhead",
};

/** Two photos further apart than this do not say where one that was taken between them stood, degrees. */
const NEAR_DEG = 60;

/** Where a photo stands in its part and height. */
interface Stand {
  readonly part: number;
  readonly band: AroundBand;
  readonly azimuthDeg: number;
}

/** Finds the places of a report's photos and findings. */
export class Places {
  readonly #report: Report;
  readonly #stands = new Map<string, Stand>();

  constructor(report: Report) {
    this.#report = report;
    for (const [part, { cameras, bands }] of report.judgement.around.placed.entries()) {
      const azimuths = new Map(cameras.map(({ file, azimuthDeg }) => [file, azimuthDeg]));
      for (const band of bands)
        for (const file of band.photos)
          this.#stands.set(file, { part, band, azimuthDeg: azimuths.get(file) ?? 0 });
    }
  }

  /** Where one photo was taken, so that it can be taken again; undefined where nobody knows. */
  ofPhoto(file: string): Place | undefined {
    const stand = this.#stands.get(file);
    if (stand === undefined) return this.#byOrder(file);
    const { part, band, azimuthDeg } = stand;
    const ring = band.photos
      .filter((other) => other !== file && this.#stays(other))
      .map((other) => ({ file: other, aheadDeg: clockwise(azimuthDeg, this.#stands.get(other)!.azimuthDeg) }))
      .sort((a, b) => a.aheadDeg - b.aheadDeg);
    const between = ring.length < 2 ? ring.map((one) => one.file) : [ring.at(-1)!.file, ring[0]!.file];
    return this.#at(part, band.name, azimuthDeg, between);
  }

  /** Where the photos go that a finding about a space asks for; undefined where it is no step of a ring. */
  ofSpace({ photos }: Finding): Place | undefined {
    const { placed, gaps } = this.#report.judgement.around;
    const steps = placed.flatMap(({ bands }, part) =>
      bands.flatMap((band) => band.steps.map((step) => ({ part, band, step }))),
    );
    const own = steps.filter(
      ({ step: { fromPhoto, toPhoto } }) => photos.includes(fromPhoto) && photos.includes(toPhoto),
    );
    // A step between two heights is one of both, and spoken of at one.
    const found = own.find(({ step }) => gaps.has(step)) ?? own[0];
    if (found === undefined) return undefined;
    const { fromPhoto, toPhoto, widthDeg } = found.step;
    const start = this.#stands.get(fromPhoto)?.azimuthDeg ?? 0;
    const middle = (start + widthDeg / 2) % 360;
    return this.#at(found.part, found.band.name, middle, [fromPhoto, toPhoto]);
  }

  /** By the photos taken before and after it, where capture times give the order. */
  #byOrder(file: string): Place | undefined {
    const { photos, orderedBy } = this.#report.facts;
    const own = photos.findIndex((photo) => photo.file === file);
    if (orderedBy !== "capture time" || own === -1) return undefined;
    const files = photos.map((photo) => photo.file);
    const before = files.slice(0, own).findLast((one) => this.#stays(one));
    const after = files.slice(own + 1).find((one) => this.#stays(one));
    const between = [before, after].filter((one) => one !== undefined);
    const [from, to] = between.map((one) => this.#stands.get(one));
    const unknown = { between, walk: [Number.POSITIVE_INFINITY, 0, own] } as const;
    if (from === undefined || to === undefined || from.part !== to.part || from.band !== to.band)
      return between.length === 0 ? undefined : unknown;
    const ahead = clockwise(from.azimuthDeg, to.azimuthDeg);
    if (Math.min(ahead, 360 - ahead) > NEAR_DEG) return unknown;
    const walked = ahead <= 180;
    const start = walked ? from.azimuthDeg : to.azimuthDeg;
    const middle = (start + Math.min(ahead, 360 - ahead) / 2) % 360;
    return this.#at(from.part, from.band.name, middle, walked ? between : between.toReversed());
  }

  #at(part: number, height: BandName, azimuthDeg: number, between: readonly string[]): Place {
    const cameras = this.#report.judgement.around.placed[part]!.cameras;
    const first = cameras.find((camera) => camera.azimuthDeg === 0);
    return {
      hour: hourOf(azimuthDeg),
      ...(first && { sixOClock: first.file }),
      height,
      between,
      walk: [part, WALKED.indexOf(height), azimuthDeg],
    };
  }

  /** Whether the photo is there to stand beside, once the list has been done. */
  #stays(file: string): boolean {
    const verdict = this.#report.judgement.photoVerdicts.get(file);
    return verdict === "pass" || verdict === "edit";
  }
}

/** What stands at this azimuth on a clock's face: 1 to 12, azimuth 0 at 6. */
function hourOf(azimuthDeg: number): number {
  return ((Math.round(azimuthDeg / 30) + 5) % 12) + 1;
}

/** From one azimuth clockwise to another, (0, 360]. */
function clockwise(fromDeg: number, toDeg: number): number {
  return (toDeg - fromDeg + 720) % 360 || 360;
}

/** Compares two places by the walk; what has none comes last. */
export function byWalk(a: Place | undefined, b: Place | undefined): number {
  if (a === undefined || b === undefined) return Number(a === undefined) - Number(b === undefined);
  for (const [i, own] of a.walk.entries()) if (own !== b.walk[i]) return own < b.walk[i]! ? -1 : 1;
  return 0;
}
