// Writes dist/build-id: what kept measurements are tied to. It changes with every change of the code that measures and
// of the packages that decode, so that no run takes facts of another program for its own.
import { createHash } from "node:crypto";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const hash = createHash("sha256");
for (const folder of ["gather", "kernels", "measure", "pipeline", "runtime"]) {
  for (const file of readdirSync(join("dist", folder), { recursive: true }).sort()) {
    if (/\.(?:js|wasm)$/.test(file)) hash.update(file).update(readFileSync(join("dist", folder, file)));
  }
}
for (const file of ["controls.js", "required.js"]) hash.update(readFileSync(join("dist", file)));
for (const name of ["exifr", "libheif-js", "ml-matrix", "sharp"]) {
  hash.update(JSON.parse(readFileSync(join("node_modules", name, "package.json"), "utf8")).version);
}
writeFileSync("dist/build-id", hash.digest("hex"));
