import type { AroundFacts, AroundPart } from "../../types/around.js";
import type { Exif } from "../../types/exif.js";
import type { Facts, PhotoFacts } from "../../types/facts.js";
import type { LightFacts } from "../../types/light.js";
import type { ColourDrift, PairFacts } from "../../types/pair.js";
import type { TileMeasures } from "../../types/photo.js";
import type { Measure } from "../../types/units.js";

/** Significant digits kept: far finer than any measure repeats, coarse enough to hide the last bits of a sum. */
const significantDigits = 6;

/**
 * Facts with every measured number at six significant digits (tiles at four), so that the report's bytes do not hang on the
 * order of a sum, and facts read back from a report are judged exactly as they were the first time. Pure, and
 * rounding twice changes nothing. Sizes and counts are whole numbers already and stay as they are.
 */
export function roundFacts<T extends Pick<Facts, "photos" | "pairs" | "around" | "light">>(facts: T): T {
  return {
    ...facts,
    photos: facts.photos.map(roundPhoto),
    pairs: facts.pairs.map(roundPair),
    around: roundAround(facts.around),
    ...(facts.light && { light: roundLight(facts.light) }),
  };
}

/** Digits kept of the tiles: they are many, and each alone is rough. */
const tileDigits = 4;

/** Decimals kept of places in a picture: a pixel or two. */
const shareDecimals = 3;

function roundShares(shares: readonly number[]): number[] {
  return shares.map((share) => Number(share.toFixed(shareDecimals)));
}

/** Decimals kept of angles, degrees: a hundred times finer than they are known. */
const angleDecimals = 3;

/** One number at so many significant digits; -0 becomes 0, since JSON cannot tell them apart. */
export function roundNumber(value: number, digits = significantDigits): number {
  if (!Number.isFinite(value)) return value;
  return Number(value.toPrecision(digits)) + 0;
}

function roundPhoto(photo: PhotoFacts): PhotoFacts {
  const { exif, jpegStep, measures, edgeWidthsPx, tiles, subject } = photo;
  return {
    ...photo,
    exif: roundExif(exif),
    ...(jpegStep && { jpegStep: { ...jpegStep, value: roundNumber(jpegStep.value) } }),
    measures: roundMeasures(measures),
    ...(edgeWidthsPx && {
      edgeWidthsPx: edgeWidthsPx.map((width) => (width === null ? null : roundNumber(width, tileDigits))),
    }),
    tiles: roundTiles(tiles),
    ...(subject && {
      subject: {
        ...subject,
        measures: roundMeasures(subject.measures),
        ...(subject.outline && { outline: subject.outline.map(roundShares) }),
      },
    }),
  };
}

function roundMeasures<T extends object>(measures: T): T {
  return Object.fromEntries(
    Object.entries(measures).map(([name, measure]: [string, Measure]) => [
      name,
      { ...measure, value: roundNumber(measure.value) },
    ]),
  ) as T;
}

function roundExif(exif: Exif): Exif {
  return roundEntries(exif);
}

function roundTiles(tiles: TileMeasures): TileMeasures {
  const round = (value: number) => roundNumber(value, tileDigits);
  return {
    ...tiles,
    laplacianVariance: tiles.laplacianVariance.map(round),
    bandRatio: tiles.bandRatio.map((value) => (value === null ? null : round(value))),
    clippedAnyRatio: tiles.clippedAnyRatio.map(round),
    noiseSigma: tiles.noiseSigma.map(round),
  };
}

function roundPair(pair: PairFacts): PairFacts {
  const { spot } = pair;
  const rounded: PairFacts = {
    ...roundEntries(pair),
    ...(spot && { spot: roundShares(spot) as [number, number, number, number] }),
  };
  if (pair.colourDrift === undefined) return rounded;
  const colourDrift: ColourDrift = roundEntries(pair.colourDrift);
  return { ...rounded, colourDrift };
}

function roundAround(around: AroundFacts): AroundFacts {
  return { ...roundEntries(around), parts: around.parts.map(roundPart) };
}

function roundPart(part: AroundPart): AroundPart {
  return {
    ...part,
    confidence: roundNumber(part.confidence, 3),
    cameras: part.cameras.map((camera) => {
      const rounded = roundAngles(camera);
      // What rounds up to a whole turn is back at the start.
      return { ...rounded, azimuthDeg: rounded.azimuthDeg % 360 };
    }),
    bands: part.bands.map((band) => ({ ...roundAngles(band), steps: band.steps.map(roundAngles) })),
    ...(part.laidOver && { laidOver: roundAngles(part.laidOver) }),
    bandGaps: part.bandGaps.map(roundAngles),
  };
}

function roundLight(light: LightFacts): LightFacts {
  const { falloff, step } = light;
  return {
    ...light,
    photos: light.photos.map(roundEntries),
    ...(falloff && {
      falloff: {
        ...roundEntries(falloff),
        // What rounds up to a whole turn is back at the start.
        darkSideDeg: roundAngles({ deg: falloff.darkSideDeg }).deg % 360,
        binStops: falloff.binStops.map((stops) => (stops === null ? null : roundNumber(stops))),
      },
    }),
    ...(step && { step: roundEntries(step) }),
  };
}

/** A record of angles in degrees, at so many decimals. */
function roundAngles<T extends object>(record: T): T {
  return mapNumbers(record, (value) => Number(value.toFixed(angleDecimals)) + 0);
}

function roundEntries<T extends object>(record: T): T {
  return mapNumbers(record, (value) => (Number.isInteger(value) ? value : roundNumber(value)));
}

function mapNumbers<T extends object>(record: T, round: (value: number) => number): T {
  return Object.fromEntries(
    Object.entries(record).map(([name, value]) => [name, typeof value === "number" ? round(value) : value]),
  ) as T;
}
