// Removes folders that are built anew: what was compiled of files that are no more would else be tested, hashed into
// dist/build-id and shipped.
// usage: node scripts/remove.mjs FOLDER...
import { rmSync } from "node:fs";

for (const folder of process.argv.slice(2)) rmSync(folder, { recursive: true, force: true });
