/** The photos that speed is measured on: 70 JPEG files of 4000 x 3000 px, made once and kept under .cache/. */
import { mkdir, readFile, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { cleanDemo, demoVersion, planSet, type SetOptions, writeSet } from "#goodgate/demo/index.js";

export const PHOTO_COUNT = 70;
export const WIDTH_PX = 4000;
export const HEIGHT_PX = 3000;

/** Grows when this file makes other photos of the same views. */
const recipeVersion = 1;
const seed = 70;

/** A full-size view takes about 7 s of a core: each is used twice, the second time shifted and with new grain. */
const VIEWS = PHOTO_COUNT / 2;
/** Standard deviation of the grain laid over a shifted view, grey levels: that of a phone at ISO 125, no source. */
const GRAIN = 1.5;

/** Said beside every figure. */
export const photosInWords =
  `${PHOTO_COUNT} JPEG files of ${WIDTH_PX} x ${HEIGHT_PX} px: ${VIEWS} rendered views of the demo jug in two rings, ` +
  `and the same ${VIEWS} shifted by 20 to 100 px, with new grain and encoded anew (demo version ${demoVersion}, seed ${seed})`;

const options: SetOptions = {
  ...cleanDemo,
  seed,
  widthPx: WIDTH_PX,
  heightPx: HEIGHT_PX,
  rings: [
    { elevationDeg: 10, photos: 18, startDeg: 0, spanDeg: 360 },
    { elevationDeg: 30, photos: VIEWS - 18, startDeg: 0, spanDeg: 360 },
  ],
};

/**
 * Makes the photos where they are not there yet, or were made by another version. Minutes, then nothing.
 * @param cache the project's .cache folder
 * @returns the folder that holds them
 */
export async function benchPhotos(cache: string, say: (line: string) => void): Promise<string> {
  const folder = join(cache, `bench-${PHOTO_COUNT}`);
  const stampFile = join(folder, "bench.json");
  const stamp = JSON.stringify({ demoVersion, recipeVersion, seed });
  if ((await readFile(stampFile, "utf8").catch(() => "")) === stamp) return folder;
  const views = `${folder}-views`;
  const partial = `${folder}-partial`;
  for (const old of [folder, views, partial]) await rm(old, { recursive: true, force: true });
  const plan = planSet(options);
  await writeSet(plan, views, { jobs: 2, onProgress: (done, of) => say(`rendered ${done} of ${of} views`) });
  await mkdir(partial);
  for (const [i, { file }] of plan.photos.entries()) {
    const view = await readFile(join(views, file));
    await writeFile(join(partial, nameOf(2 * i)), view);
    await writeFile(join(partial, nameOf(2 * i + 1)), await shifted(view, i));
    say(`shifted ${i + 1} of ${plan.photos.length} views`);
  }
  await writeFile(join(partial, "bench.json"), stamp);
  await rename(partial, folder);
  await rm(views, { recursive: true });
  return folder;
}

function nameOf(index: number): string {
  return `IMG_${String(index + 1).padStart(4, "0")}.jpg`;
}

/** The same view, moved, mirrored at the border it leaves open, grained and encoded again with its EXIF. */
async function shifted(view: Buffer, index: number): Promise<Buffer> {
  const { data, info } = await sharp(view).raw().toBuffer({ resolveWithObject: true });
  const { width, height } = info;
  const random = stream(seed * 1000 + index);
  const step = (): number => (20 + (random() % 81)) * (random() % 2 === 0 ? 1 : -1);
  const dx = step();
  const dy = step();
  const grain = grainTable(random);
  const out = new Uint8ClampedArray(data.length);
  for (let y = 0, to = 0; y < height; y++) {
    const row = mirrored(y + dy, height) * width;
    for (let x = 0; x < width; x++) {
      const from = 3 * (row + mirrored(x + dx, width));
      const at = random();
      out[to++] = data[from] + grain[at & 0x3ff];
      out[to++] = data[from + 1] + grain[(at >>> 10) & 0x3ff];
      out[to++] = data[from + 2] + grain[(at >>> 20) & 0x3ff];
    }
  }
  return sharp(out, { raw: { width, height, channels: 3 } })
    .withExifMerge(await exifOf(view))
    .jpeg({ quality: options.quality, chromaSubsampling: "4:2:0" })
    .toBuffer();
}

/** Only the orientation matters to the speed: a turned photo is turned back by the measures. */
async function exifOf(view: Buffer): Promise<{ IFD0: Record<string, string> }> {
  const { orientation } = await sharp(view).metadata();
  return { IFD0: { Orientation: String(orientation ?? 1), Make: "Limelight", Model: "Prompt 3" } };
}

function mirrored(at: number, size: number): number {
  return at < 0 ? -at : at >= size ? 2 * size - 2 - at : at;
}

/** 32-bit whole numbers. @see Marsaglia 2003, "Xorshift RNGs", section 3: shifts 13, 17, 5. */
function stream(start: number): () => number {
  let state = start | 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return state >>> 0;
  };
}

/** 1024 draws of the grain: sums of 12 even draws are near enough to normal. */
function grainTable(random: () => number): Float32Array {
  return Float32Array.from({ length: 1024 }, () => {
    let sum = -6;
    for (let k = 0; k < 12; k++) sum += random() / 2 ** 32;
    return GRAIN * sum;
  });
}
