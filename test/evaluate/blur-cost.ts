/**
 * What blur of single photos costs: every fourth photo of a good walk is shaken or put out of focus, and what it shares
 * with its unspoilt neighbours, and where it is placed, is held against the same walk unspoilt. The table is kept in
 * docs/evaluation-gate.md.
 * usage: npm run evaluate -- blur-cost [FOLDER OF PHOTOS ...]
 */
import { mkdtemp, readdir, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { parseArgs } from "node:util";
import { angleBetweenDirections } from "#goodgate/measure/coverage/directions.js";
import { edgeBlurs } from "#goodgate/measure/set/edge-blur.js";
import { median } from "#goodgate/measure/statistics.js";
import { audit } from "#goodgate/pipeline/audit.js";
import type { AroundCamera } from "#goodgate/types/around.js";
import type { Facts } from "#goodgate/types/facts.js";
import { basePhotos } from "./gate-bases.js";
import { asIs, resized, type Spoil, shaken, soft } from "./gate-spoil.js";

const { values, positionals } = parseArgs({
  args: process.argv.slice(3),
  allowPositionals: true,
  options: { cache: { type: "string", default: join(".cache", "gate") } },
});

const WAYS: readonly (readonly [name: string, spoil: Spoil])[] = [
  ...[4, 6, 8, 11, 15].map((px) => [`shaken by ${px} px`, shaken(px, "its own")] as const),
  ...[1, 1.5, 2, 3].map((px) => [`soft by ${px} px`, soft(px)] as const),
];
const isSpoilt = (index: number): boolean => index % 4 === 1;

process.stdout.write(
  "| walk | every fourth photo | widest edges, px | matches left | placed | moved, degrees: middle | most |\n| --- | --- | ---: | ---: | ---: | ---: | ---: |\n",
);
for (const walk of [...positionals, "jug-large"]) {
  const clean = await factsOf(walk, asIs);
  process.stdout.write(row(walk, "untouched", clean, clean));
  for (const [name, spoil] of WAYS) process.stdout.write(row(walk, name, clean, await factsOf(walk, spoil)));
}

async function factsOf(walk: string, spoil: Spoil): Promise<Facts> {
  const isFolder = walk.includes("/");
  const files = isFolder
    ? (await readdir(walk))
        .sort()
        .filter((_, i) => i % 3 === 0)
        .map((file) => join(walk, file))
    : await basePhotos(walk, values.cache);
  const folder = await mkdtemp(join(tmpdir(), "blur-cost-"));
  try {
    for (const [i, file] of files.entries()) {
      const sized = join(folder, basename(file));
      await writeFile(sized, await (isFolder ? resized(1600) : asIs)(file, i));
      if (isSpoilt(i)) await writeFile(sized, await spoil(sized, i));
    }
    return (await audit(folder, { cache: false, jobs: 1 })).facts;
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

function row(walk: string, name: string, clean: Facts, facts: Facts): string {
  const spoilt = new Set(facts.photos.filter((_, i) => isSpoilt(i)).map(({ file }) => file));
  const shared = ({ pairs }: Facts): number =>
    pairs
      .filter(({ a, b }) => spoilt.has(a) !== spoilt.has(b))
      .reduce((sum, { verifiedMatches }) => sum + verifiedMatches, 0);
  const edges = edgeBlurs(facts).flatMap((blur, i) => (isSpoilt(i) && blur ? [blur.widestPx] : []));
  const placed = camerasOf(facts);
  const moved = movedDeg(camerasOf(clean), placed, spoilt);
  const cells = [
    basename(walk),
    name,
    edges.length === 0 ? "not known" : median(edges).toFixed(2),
    (shared(facts) / shared(clean)).toFixed(2),
    `${[...spoilt].filter((file) => placed.has(file)).length} of ${spoilt.size}`,
    ...(moved.length === 0 ? ["", ""] : [median(moved).toFixed(1), Math.max(...moved).toFixed(1)]),
  ];
  return `| ${cells.join(" | ")} |\n`;
}

const camerasOf = ({ around }: Facts): Map<string, AroundCamera> =>
  new Map((around.parts[0]?.cameras ?? []).map((camera) => [camera.file, camera]));

/** How far each spoilt photo moved, after the turn of the way round that fits the unspoilt ones best. */
function movedDeg(
  before: ReadonlyMap<string, AroundCamera>,
  after: ReadonlyMap<string, AroundCamera>,
  spoilt: ReadonlySet<string>,
): number[] {
  const both = [...before].flatMap(([file, camera]) => {
    const now = after.get(file);
    return now === undefined ? [] : [{ file, camera, now }];
  });
  const turned = both
    .filter(({ file }) => !spoilt.has(file))
    .map(({ camera, now }) => now.azimuthDeg - camera.azimuthDeg);
  if (turned.length === 0) return [];
  // All are near one value, but for whole turns.
  const turn = median(turned.map((deg) => ((((deg - turned[0]) % 360) + 540) % 360) - 180)) + turned[0];
  return both
    .filter(({ file }) => spoilt.has(file))
    .map(({ camera, now }) => angleBetweenDirections(camera, { ...now, azimuthDeg: now.azimuthDeg - turn }));
}
