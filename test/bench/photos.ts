/** The photos that speed is measured on: JPEG files of 4000 x 3000 px, made once and kept under .cache/. */
import { copyFile, link, mkdir, readdir, readFile, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { cleanDemo, demoVersion, planSet, type SetOptions, writeSet } from "#goodgate/demo/index.js";
import { shiftedCopy } from "./shift.js";

export const PHOTO_COUNT = 70;
export const WIDTH_PX = 4000;
export const HEIGHT_PX = 3000;

/** Grows when this file makes other photos of the same views. */
const recipeVersion = 2;
const seed = 70;

/** A full-size view takes about 7 s of a core: each is used twice, the second time shifted and with new grain. */
const VIEWS = PHOTO_COUNT / 2;

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

const SHIFT = { leastPx: 20, mostPx: 100, quality: options.quality } as const;
/** The views were taken some four seconds apart. */
const SECONDS_LATER = 2;

/**
 * Makes the photos where they are not there yet, or were made by another version. Minutes, then nothing.
 * @param cache the project's .cache folder
 * @returns the folder that holds them
 */
export async function benchPhotos(cache: string, say: (line: string) => void): Promise<string> {
  const folder = join(cache, `bench-${PHOTO_COUNT}`);
  const partial = `${folder}-partial`;
  const stamp = { demoVersion, recipeVersion, seed };
  const found = await stampIn(folder);
  if (JSON.stringify(found) === JSON.stringify(stamp)) return folder;
  // Another recipe of the same views: those, every second photo, are worth keeping.
  const rendered = found?.demoVersion === demoVersion && found?.seed === seed;
  const views = rendered ? folder : `${folder}-views`;
  await rm(partial, { recursive: true, force: true });
  await mkdir(partial);
  const plan = planSet(options);
  if (!rendered) {
    await rm(views, { recursive: true, force: true });
    await writeSet(plan, views, {
      jobs: 2,
      onProgress: (done, of) => say(`rendered ${done} of ${of} views`),
    });
  }
  for (const [i, { file }] of plan.photos.entries()) {
    const view = new Uint8Array(await readFile(join(views, rendered ? nameOf(2 * i) : file)));
    await writeFile(join(partial, nameOf(2 * i)), view);
    const copy = await shiftedCopy(view, { ...SHIFT, seed: seed * 1000 + i, secondsLater: SECONDS_LATER });
    await writeFile(join(partial, nameOf(2 * i + 1)), copy);
    say(`shifted ${i + 1} of ${plan.photos.length} views`);
  }
  await writeFile(join(partial, STAMP), JSON.stringify(stamp));
  await rm(folder, { recursive: true, force: true });
  await rename(partial, folder);
  await rm(`${folder}-views`, { recursive: true, force: true });
  return folder;
}

/** Between two rounds of copies, s: longer than a round takes. */
const ROUND_S = 3600;
/** Copies of a round are moved by less than those of the set itself. */
const SMALL_SHIFT = { leastPx: 3, mostPx: 30, quality: options.quality } as const;

/**
 * Many photos made from the {@link PHOTO_COUNT}: the set itself, then round after round of copies, each shifted by a few
 * pixels, with new grain, encoded anew, and with a time of its own. Half a second of one core each, made once.
 */
export async function manyPhotos(cache: string, count: number, say: (line: string) => void): Promise<string> {
  const base = await benchPhotos(cache, say);
  if (count === PHOTO_COUNT) return base;
  const folder = join(cache, `bench-${count}`);
  const stamp = { demoVersion, recipeVersion, seed, count };
  if (JSON.stringify(await stampIn(folder)) === JSON.stringify(stamp)) return folder;
  const partial = `${folder}-partial`;
  for (const old of [folder, partial]) await rm(old, { recursive: true, force: true });
  await mkdir(partial);
  const larger = await largerSet(cache, stamp);
  for (let index = 0; index < count; index++) {
    if (larger !== undefined) {
      await link(join(larger, nameOf(index)), join(partial, nameOf(index)));
      continue;
    }
    const source = join(base, nameOf(index % PHOTO_COUNT));
    const target = join(partial, nameOf(index));
    const round = Math.floor(index / PHOTO_COUNT);
    if (round === 0) {
      await copyFile(source, target);
      continue;
    }
    const photo = new Uint8Array(await readFile(source));
    const copy = { ...SMALL_SHIFT, seed: seed * 100_000 + index, secondsLater: ROUND_S * round };
    await writeFile(target, await shiftedCopy(photo, copy));
    if (index % PHOTO_COUNT === 0) say(`made ${index} of ${count} photos`);
  }
  await writeFile(join(partial, STAMP), JSON.stringify(stamp));
  await rename(partial, folder);
  return folder;
}

/** A larger set by the same recipe: its first photos are the same. */
async function largerSet(cache: string, stamp: { readonly count: number }): Promise<string | undefined> {
  for (const name of await readdir(cache)) {
    const found = await stampIn(join(cache, name));
    const count = Number(found?.count);
    const same = JSON.stringify(found) === JSON.stringify({ ...stamp, count });
    if (same && count > stamp.count) return join(cache, name);
  }
  return undefined;
}

const STAMP = "bench.json";

async function stampIn(folder: string): Promise<Record<string, unknown> | undefined> {
  const text = await readFile(join(folder, STAMP), "utf8").catch(() => undefined);
  return text === undefined ? undefined : JSON.parse(text);
}

function nameOf(index: number): string {
  return `IMG_${String(index + 1).padStart(4, "0")}.jpg`;
}
