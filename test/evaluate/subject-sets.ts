/** Rendered sets for the evaluation of the subject's measures: photos measured as the audit does, with true masks. */
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { deserialize, serialize } from "node:v8";
import sharp from "sharp";
import {
  cleanDemo,
  demoVersion,
  developPhoto,
  type PlacedFault,
  planSet,
  renderLinear,
  type SetOptions,
  type SubjectTruth,
  subjectTruth,
} from "#goodgate/demo/index.js";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { tileGrid } from "#goodgate/measure/photo/tiles.js";
import type { MeasuredPixels } from "./measure-set.js";

/** One photo of a rendered set, measured, with what is true of it. */
export interface SubjectPhoto extends MeasuredPixels {
  /** Share of each cell that lies on the subject, 0 to 1, on the grid of the photo's cells. */
  readonly trueShare: Float32Array;
  readonly truth: SubjectTruth;
}

export interface SubjectSet {
  readonly name: string;
  readonly options: SetOptions;
  readonly photos: readonly SubjectPhoto[];
}

const base: SetOptions = {
  ...cleanDemo,
  widthPx: 1200,
  heightPx: 900,
  portraitShare: 0.15,
  rings: [
    { elevationDeg: 12, photos: 18, startDeg: 0, spanDeg: 360 },
    { elevationDeg: 38, photos: 12, startDeg: 15, spanDeg: 360 },
  ],
};

/** A set's options: `base` with some replaced, and faults. */
export function subjectOptions(change: Partial<SetOptions>, faults: readonly PlacedFault[] = []): SetOptions {
  return { ...base, ...change, faults };
}

/** Where measured photos are kept between runs. */
const cache = join(".cache", "evaluate-subject");

/** Renders, writes as JPEG, reads back and measures every photo of a set. The same options are measured once. */
export async function measureSubjectSet(name: string, options: SetOptions, keep = true): Promise<SubjectSet> {
  const key = createHash("sha256")
    .update(JSON.stringify([demoVersion, options]))
    .digest("hex");
  const path = join(cache, `${name.replaceAll(/\W+/g, "-")}-${key.slice(0, 12)}.bin`);
  if (keep && existsSync(path)) return { name, options, photos: deserialize(readFileSync(path)) };
  const plan = planSet(options);
  const photos: SubjectPhoto[] = [];
  for (const [index, photo] of plan.photos.entries()) {
    const seen = renderLinear(plan, index);
    const { data, width, height } = developPhoto(plan, photo, seen);
    const jpeg = await sharp(data, { raw: { width, height, channels: 3 } })
      .jpeg({ quality: options.quality })
      .toBuffer();
    const measured = measurePhoto(await decodePhoto(jpeg), 1);
    photos.push(
      copied({
        ...measured,
        file: photo.file,
        contentHash: createHash("sha256").update(jpeg).digest("hex"),
        exif: { focalLength35Mm: options.focalLength35Mm, hasLocation: false },
        trueShare: shareOf(seen.mask, width, height, measured.cells.columns, measured.cells.rows),
        truth: subjectTruth(plan, index, seen),
      }),
    );
  }
  if (keep) {
    mkdirSync(cache, { recursive: true });
    writeFileSync(`${path}.partial`, serialize(photos));
    renameSync(`${path}.partial`, path);
  }
  return { name, options, photos };
}

/** The same over memory of its own: shared memory cannot be written down. */
function copied(photo: SubjectPhoto): SubjectPhoto {
  const own = <T extends object>(record: T): T =>
    Object.fromEntries(
      Object.entries(record).map(([field, value]) => [
        field,
        ArrayBuffer.isView(value) ? (value as Float32Array).slice() : value,
      ]),
    ) as T;
  return { ...photo, features: own(photo.features), cells: own(photo.cells) };
}

/** Mean of a mask over the cells of a grid. */
function shareOf(
  mask: Uint8Array,
  width: number,
  height: number,
  columns: number,
  rows: number,
): Float32Array {
  const grid = tileGrid(width, height, Math.max(columns, rows));
  const share = new Float32Array(columns * rows);
  for (let row = 0, cell = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, cell++) {
      let sum = 0;
      for (let y = grid.ys[row]; y < grid.ys[row + 1]; y++) {
        for (let x = grid.xs[column]; x < grid.xs[column + 1]; x++) sum += mask[y * width + x];
      }
      const pixels = (grid.xs[column + 1] - grid.xs[column]) * (grid.ys[row + 1] - grid.ys[row]);
      share[cell] = sum / 255 / pixels;
    }
  }
  return share;
}
