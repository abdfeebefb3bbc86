import type { SubjectMeasures } from "../../types/facts.js";
import type { Cells, Features, TileMeasures } from "../../types/photo.js";
import type { Measure, Unit } from "../../types/units.js";
import { ENERGY_OF_CODE, LIGHT_OF_CODE, luminanceOfCell } from "../photo/cells.js";
import { median, select } from "../statistics.js";
import type { SubjectRegion } from "./cover.js";
import { innerCells, OFF_SUBJECT, ON_SUBJECT, shareAt } from "./cover.js";
import type { Framing } from "./framing.js";

/** What the subject's measures of one photo are taken from: all of it was measured in the one pass over its pixels. */
export interface MeasuredCells {
  readonly features: Features;
  readonly cells: Cells;
  readonly tiles: TileMeasures;
}

/** Linear light above which what is saturated is clipped, below which it is blocked: mid grey. */
const MID_GREY = 0.18;
/** A saturated cell is burnt out where all channels are within a stop of white: yellow plastic clips in red and green alone. */
const LEAST_CHANNEL = 0.5;
/** A tile is the subject's where this much of it lies on the subject. */
const MOSTLY = 0.6;
/** Tiles more spoilt by clipping than this have no noise to show. */
const SPOILT = 0.02;
/** Darkest luminance told from black: code value 1 of an sRGB picture. */
const DARKEST = 1 / 255 / 12.92;
/** Mid band energy, grey levels squared, under which there is no structure to judge sharpness by. */
const LEAST_STRUCTURE = 1;
/** A cell is bare where no keypoint lies within this many cells: 60 px at a long edge of 1920 px. */
const BARE_REACH = 2.5;
/** Contrast of linear light for a contrast of code values: sRGB is close to a power of 1 / 2.2 (IEC 61966-2-1). */
const GAMMA = 2.2;

/** The measures of a photo for its subject alone. Values that need other photos come from {@link detailOffsets}. */
export function measureSubject(
  photo: MeasuredCells,
  region: SubjectRegion,
  framing: Framing,
): SubjectMeasures {
  const { columns, rows, share } = region;
  const own = innerCells(columns, rows, (cell) => share[cell] >= ON_SUBJECT);
  const around = innerCells(columns, rows, (cell) => share[cell] < OFF_SUBJECT);
  const subject = bandsOf(photo.cells, own);
  const background = sharpRatio(photo.cells, around);
  const onTiles = tilesOf(photo.tiles, region);
  const { cutRatio } = framing;
  return {
    confidence: of(region.confidence, "ratio"),
    areaRatio: of(framing.areaRatio, "ratio"),
    sideRatio: of(framing.sideRatio, "ratio"),
    ...(cutRatio === undefined ? {} : { cutRatio: of(cutRatio, "ratio") }),
    ...(onTiles.laplacian === undefined
      ? {}
      : { laplacianVariance: of(onTiles.laplacian, "grey levels squared") }),
    ...(subject.ratio === undefined ? {} : { bandRatio: of(subject.ratio, "times") }),
    ...(background === undefined ? {} : { backgroundBandRatio: of(background, "times") }),
    ...(own.length === 0 ? {} : lightOf(photo.cells, own)),
    ...(onTiles.noise === undefined ? {} : { noiseSigma: of(onTiles.noise, "grey levels") }),
    ...keypointsOf(photo.features, region, own),
  };
}

function of(value: number, unit: Unit): Measure {
  return { value, unit };
}

/** Fine over mid band energy of some cells; undefined where they hold no structure. */
function bandsOf(cells: Cells, chosen: readonly number[]): { ratio: number | undefined } {
  let fine = 0;
  let mid = 0;
  for (const cell of chosen) {
    fine += ENERGY_OF_CODE[cells.fine[cell]];
    mid += ENERGY_OF_CODE[cells.mid[cell]];
  }
  return { ratio: mid > LEAST_STRUCTURE * chosen.length ? fine / mid : undefined };
}

/** Of the cells with most structure this share is looked at, and of their ratios this one is taken. */
const MOST_STRUCTURE = 0.5;
const SHARP_RANK = 0.8;
/** Values that a code of energy may have. */
const CODES = ENERGY_OF_CODE.length;

/**
 * Fine over mid band energy of the sharper cells among those with structure: something around the subject is sharp in
 * any photo that is in focus somewhere, though most of it may lie before or behind that.
 */
function sharpRatio(cells: Cells, chosen: readonly number[]): number | undefined {
  // Codes rise with energies, so that counting them tells which cells have most structure.
  const ofCode = new Int32Array(CODES);
  let structured = 0;
  for (const cell of chosen) {
    if (ENERGY_OF_CODE[cells.mid[cell]] <= LEAST_STRUCTURE) continue;
    ofCode[cells.mid[cell]]++;
    structured++;
  }
  if (structured === 0) return undefined;
  const ratios = new Float64Array(Math.ceil(MOST_STRUCTURE * structured));
  // All cells of codes above `least` are looked at, and the first `left` that have it.
  let least = CODES - 1;
  let left = ratios.length;
  while (left > ofCode[least]) left -= ofCode[least--];
  let count = 0;
  for (const cell of chosen) {
    const code = cells.mid[cell];
    if (code < least || (code === least && left-- <= 0)) continue;
    ratios[count++] = ENERGY_OF_CODE[cells.fine[cell]] / ENERGY_OF_CODE[code];
  }
  return select(ratios, Math.floor(SHARP_RANK * ratios.length));
}

type LightMeasures = Pick<
  SubjectMeasures,
  "clippedRatio" | "blockedRatio" | "meanLuminanceStops" | "textureRatio"
>;

function lightOf(cells: Cells, chosen: readonly number[]): LightMeasures {
  let clipped = 0;
  let blocked = 0;
  let sum = 0;
  const contrast: number[] = [];
  for (const cell of chosen) {
    const luminance = luminanceOfCell(cells, cell);
    const saturated = cells.saturated[cell] / 255;
    if (luminance < MID_GREY) blocked += saturated;
    else if (leastChannel(cells, cell) >= LEAST_CHANNEL) clipped += saturated;
    sum += luminance;
    const energy = ENERGY_OF_CODE[cells.fine[cell]] + ENERGY_OF_CODE[cells.mid[cell]];
    contrast.push((GAMMA * Math.sqrt(energy)) / (255 * Math.max(luminance, DARKEST) ** (1 / GAMMA)));
  }
  const count = chosen.length;
  return {
    clippedRatio: of(clipped / count, "ratio"),
    blockedRatio: of(blocked / count, "ratio"),
    meanLuminanceStops: of(Math.log2(Math.max(sum / count, DARKEST)), "stops"),
    textureRatio: of(Math.min(1, median(contrast)), "ratio"),
  };
}

/** Mean linear light of the darkest channel. */
function leastChannel({ red, green, blue }: Cells, cell: number): number {
  return LIGHT_OF_CODE[Math.min(red[cell], green[cell], blue[cell])];
}

/** The subject's share of the coarser tiles, and what was measured on those that lie on it. */
function tilesOf(
  tiles: TileMeasures,
  { columns, rows, share }: SubjectRegion,
): { laplacian: number | undefined; noise: number | undefined } {
  const count = tiles.columns * tiles.rows;
  const on = new Float64Array(count);
  const all = new Float64Array(count);
  for (let row = 0, cell = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, cell++) {
      const tile =
        Math.floor(((row + 0.5) * tiles.rows) / rows) * tiles.columns +
        Math.floor(((column + 0.5) * tiles.columns) / columns);
      all[tile]++;
      if (share[cell] >= ON_SUBJECT) on[tile]++;
    }
  }
  let laplacian = 0;
  let weight = 0;
  let noise: number | undefined;
  for (let tile = 0; tile < count; tile++) {
    if (on[tile] < MOSTLY * all[tile]) continue;
    laplacian += on[tile] * tiles.laplacianVariance[tile];
    weight += on[tile];
    if (tiles.clippedAnyRatio[tile] > SPOILT) continue;
    const own = tiles.noiseSigma[tile];
    if (noise === undefined || own < noise) noise = own;
  }
  return { laplacian: weight === 0 ? undefined : laplacian / weight, noise };
}

/** Keypoints on the subject, and the share of its cells that have none near. */
function keypointsOf(
  features: Features,
  region: SubjectRegion,
  own: readonly number[],
): Pick<SubjectMeasures, "keypoints" | "bareRatio"> {
  const { columns, rows } = region;
  const near = new Uint8Array(columns * rows);
  let count = 0;
  for (let k = 0; k < features.count; k++) {
    if (shareAt(features, k, region) < ON_SUBJECT) continue;
    count++;
    const x = ((features.x[k] + 0.5) * columns) / features.widthPx;
    const y = ((features.y[k] + 0.5) * rows) / features.heightPx;
    for (let row = Math.ceil(y - BARE_REACH - 0.5); row <= y + BARE_REACH - 0.5; row++) {
      for (let column = Math.ceil(x - BARE_REACH - 0.5); column <= x + BARE_REACH - 0.5; column++) {
        if (column < 0 || row < 0 || column >= columns || row >= rows) continue;
        const [across, down] = [column + 0.5 - x, row + 0.5 - y];
        if (across * across + down * down <= BARE_REACH * BARE_REACH) near[row * columns + column] = 1;
      }
    }
  }
  const bare = own.reduce((sum, cell) => sum + (near[cell] === 0 ? 1 : 0), 0);
  return {
    keypoints: of(count, "keypoints"),
    ...(own.length === 0 ? {} : { bareRatio: of(bare / own.length, "ratio") }),
  };
}
