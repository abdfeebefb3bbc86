// Whether dist/ is what the sources build to: ends with 0 where it is, else with 1. A build ends by telling it so, with
// --built. npm builds at every install and whatever uses dist/ builds first, so most builds have nothing to do.
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const STAMP = "build/built";
const hash = createHash("sha256");
for (const place of [
  "src",
  "scripts",
  "tsconfig.json",
  "asconfig.json",
  "package.json",
  "package-lock.json",
  "dist",
])
  for (const file of filesIn(place)) hash.update(`${file}\n`).update(readFileSync(file));
const now = hash.digest("hex");

if (process.argv[2] === "--built") {
  mkdirSync("build", { recursive: true });
  writeFileSync(STAMP, now);
} else if (!existsSync(STAMP) || readFileSync(STAMP, "utf8") !== now) {
  process.exitCode = 1;
}

function filesIn(place) {
  if (!existsSync(place)) return [];
  if (statSync(place).isFile()) return [place];
  const paths = readdirSync(place, { recursive: true }).map((name) => join(place, name));
  return paths.filter((path) => statSync(path).isFile()).sort();
}
