/** Makes the photos and does nothing else: `node build/test/bench/make-photos.js`. */
import { fileURLToPath } from "node:url";
import { benchPhotos } from "./photos.js";

const cache = fileURLToPath(new URL("../../../.cache", import.meta.url));
console.log(await benchPhotos(cache, (line) => console.error(line)));
