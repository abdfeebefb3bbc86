/** Decodes every JPEG of a folder to raw RGB, two in flight, and drops it: the floor of any audit. */
import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";

const IN_FLIGHT = 2;
const folder = process.argv[2];
if (folder === undefined) throw new Error("expected a folder");
// As goodgate sets it.
sharp.cache(false);
sharp.concurrency(1);
const files = (await readdir(folder)).filter((file) => /\.jpe?g$/i.test(file)).sort();
let pixels = 0;
let photos = 0;
const work = async (): Promise<void> => {
  for (let file = files.shift(); file !== undefined; file = files.shift()) {
    const bytes = await readFile(join(folder, file));
    const { info } = await sharp(bytes, { ignoreIcc: true }).raw().toBuffer({ resolveWithObject: true });
    pixels += info.width * info.height;
    photos++;
  }
};
await Promise.all(Array.from({ length: IN_FLIGHT }, work));
console.log(JSON.stringify({ photos, megapixels: Math.round(pixels / 1e6) }));
