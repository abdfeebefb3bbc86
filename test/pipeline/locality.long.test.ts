import { writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { audit } from "#goodgate/pipeline/audit.js";
import type { Report } from "#goodgate/types/report.js";
import { Bench } from "../spawn/folders.js";
import { renderedSet } from "../support/rendered.js";

/** A ring with a photo out of focus, a run shaken, one too bright; large enough for shakes to show. */
const options = {
  widthPx: 1024,
  heightPx: 768,
  rings: [{ elevationDeg: 20, photos: 24, startDeg: 0, spanDeg: 360 }],
  faults: [
    { photo: 3, fault: { kind: "defocus", sigmaPx: 3 } },
    { photo: 7, fault: { kind: "motion", lengthPx: 8, directionDeg: 20 } },
    { photo: 8, fault: { kind: "motion", lengthPx: 10, directionDeg: 100 } },
    { photo: 11, fault: { kind: "exposure", stops: 1, said: false } },
  ],
} as const;

let bench: Bench;
let photos: string[];
let whole: Report;

beforeAll(async () => {
  bench = await Bench.make();
  photos = await renderedSet(options);
  whole = await audit(await bench.folder(photos), { jobs: 2 });
}, 300_000);

afterAll(() => bench?.remove());

/** Photos that share no surface with a photo, in neither of two reports. */
function elsewhere(report: Report, file: string): string[] {
  const near = new Set(
    [whole, report].flatMap(({ facts }) =>
      facts.pairs.flatMap(({ a, b, verifiedMatches }) =>
        verifiedMatches > 0 && (a === file || b === file) ? [a, b] : [],
      ),
    ),
  );
  return whole.facts.photos.flatMap((photo) =>
    photo.file === file || near.has(photo.file) ? [] : [photo.file],
  );
}

function verdictsOf({ judgement }: Report, files: readonly string[]): (string | undefined)[] {
  return files.map((file) => judgement.photoVerdicts.get(file));
}

describe("what changes of one photo", () => {
  const nameOf = (index: number) => basename(photos[index]!);

  test("changes no verdict on photos of another side: one taken out", { timeout: 300_000 }, async () => {
    const less = await audit(await bench.folder(photos.filter((_, i) => i !== 19)), { jobs: 2 });
    const others = elsewhere(less, nameOf(19));
    expect(others.length).toBeGreaterThan(5);
    expect(verdictsOf(less, others)).toEqual(verdictsOf(whole, others));
  });

  test("changes no verdict on photos of another side: one blurred", { timeout: 300_000 }, async () => {
    const folder = await bench.folder(photos);
    const blurred = await sharp(photos[19]).keepMetadata().blur(4).jpeg({ quality: 92 }).toBuffer();
    await writeFile(join(folder, nameOf(19)), blurred);
    const changed = await audit(folder, { jobs: 2 });
    expect(verdictsOf(changed, [nameOf(19)])).not.toEqual(["pass"]);
    const others = elsewhere(changed, nameOf(19));
    expect(others.length).toBeGreaterThan(5);
    expect(verdictsOf(changed, others)).toEqual(verdictsOf(whole, others));
  });

  test("is told against faults elsewhere, which are told too", () => {
    const named = new Set(
      whole.judgement.findings.flatMap(({ check, photos }) =>
        ["soft-photo", "exposure-step"].includes(check) ? photos : [],
      ),
    );
    expect(named).toEqual(new Set([3, 7, 8, 11].map(nameOf)));
  });
});
