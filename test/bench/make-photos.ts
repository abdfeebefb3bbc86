/** Makes the photos and does nothing else: `node build/test/bench/make-photos.js [N]`; 70 unless said. */
import { fileURLToPath } from "node:url";
import { manyPhotos, PHOTO_COUNT } from "./photos.js";

const cache = fileURLToPath(new URL("../../../.cache", import.meta.url));
const count = Number(process.argv[2] ?? PHOTO_COUNT);
if (!Number.isInteger(count) || count < 1)
  throw new Error(`expected a number of photos, found ${process.argv[2]}`);
console.log(await manyPhotos(cache, count, (line) => console.error(line)));
