import { copyFile, mkdir, readFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { audit } from "#goodgate/pipeline/audit.js";
import type { Facts } from "#goodgate/types/facts.js";
import { Bench } from "../spawn/folders.js";
import { renderedSet } from "../support/rendered.js";

/** A ring with two places left out, and its last four photos retaken; the lens is the one assumed where none is stored. */
const options = {
  rings: [{ elevationDeg: 25, photos: 24, startDeg: 0, spanDeg: 360 }],
  skippedArcs: [{ ring: 0, fromDeg: 100, toDeg: 125 }],
  focalLength35Mm: 26,
  exif: "none",
} as const;

let bench: Bench;
let photos: string[];
let straight: Facts;
let shuffled: Facts;
/** Name in the set in order, by the file's bytes. */
let nameOf: Map<string, string>;

beforeAll(async () => {
  bench = await Bench.make();
  photos = await renderedSet(options);
  straight = (await audit(await bench.folder(photos), { jobs: 2 })).facts;
  nameOf = new Map(straight.photos.map(({ contentHash, file }) => [contentHash, file]));
  const folder = bench.path("shuffled");
  await mkdir(folder);
  // 7 and 22 share no factor, so that no photo keeps its neighbours.
  await Promise.all(
    photos.map((path, i) => copyFile(path, join(folder, `${100 + ((i * 7) % photos.length)}.jpg`))),
  );
  shuffled = (await audit(folder, { jobs: 2 })).facts;
}, 300_000);

afterAll(() => bench?.remove());

/** The steps of all bands by the names of the set in order. */
function stepsOf(facts: Facts): Map<string, number> {
  const hashes = new Map(facts.photos.map(({ file, contentHash }) => [file, contentHash]));
  const name = (file: string): string => nameOf.get(hashes.get(file)!)!;
  return new Map(
    facts.around.parts
      .flatMap(({ bands }) => bands.flatMap(({ steps }) => steps))
      .map(({ fromPhoto, toPhoto, angleDeg }) => [`${name(fromPhoto)} ${name(toPhoto)}`, angleDeg]),
  );
}

describe("file names in any order and no capture time", () => {
  test("are put in order by name, and hang together all the same", () => {
    expect([straight.orderedBy, shuffled.orderedBy]).toEqual(["file name", "file name"]);
    for (const { around } of [straight, shuffled]) {
      expect(around.parts.map((part) => part.photos.length)).toEqual([photos.length]);
      expect(around.turnedSubject).toBe(false);
    }
  });

  test("give the same steps, to half a degree, and the same heights", () => {
    const [expected, found] = [straight, shuffled].map(stepsOf);
    expect([...found.keys()].sort()).toEqual([...expected.keys()].sort());
    for (const [ends, angleDeg] of expected)
      expect(Math.abs(found.get(ends)! - angleDeg), ends).toBeLessThan(0.5);
    const heights = (facts: Facts) =>
      facts.around.parts[0]!.bands.map(({ name, photos }) => [name, photos.length]);
    expect(heights(shuffled)).toEqual(heights(straight));
  });

  test("show the gap between the two photos beside it, as wide as it is", async () => {
    const truth = JSON.parse(await readFile(join(dirname(photos[0]!), "truth.json"), "utf8"));
    const azimuth = new Map<string, number>(
      truth.photos.map(({ file, azimuthDeg }: { file: string; azimuthDeg: number }) => [file, azimuthDeg]),
    );
    const [before, after] = [photos[6]!, photos[7]!].map((path) => basename(path));
    const widthDeg = azimuth.get(after)! - azimuth.get(before)!;
    expect(widthDeg).toBeGreaterThan(40);
    const widest = straight.around.parts[0]!.bands[0]!.steps.reduce((a, b) =>
      b.widthDeg > a.widthDeg ? b : a,
    );
    expect([widest.fromPhoto, widest.toPhoto]).toEqual([before, after]);
    expect(Math.abs(widest.widthDeg - widthDeg)).toBeLessThan(3);
  });
});
