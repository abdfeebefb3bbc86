import { existsSync } from "node:fs";
import { mkdir, mkdtemp, rename, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { audit } from "#goodgate/index.js";
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { aroundFacts } from "#goodgate/measure/coverage/facts.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { linkPhotos } from "#goodgate/measure/pairing/link.js";
import { voteForPairs } from "#goodgate/measure/pairing/select-pairs.js";
import type { PhotoMeasurement } from "#goodgate/measure/photo/photo.js";
import { roundFacts } from "#goodgate/measure/set/round.js";
import { solvedMeasures } from "#goodgate/measure/set/solved.js";
import { type Subject, subjectOf } from "#goodgate/measure/subject/subject.js";
import { dynamicMatches } from "#goodgate/measure/turntable/static-matches.js";
import type { Exif } from "#goodgate/types/exif.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { EvaluationSet, Injected } from "./sets.js";

export interface MeasuredSet {
  readonly name: string;
  readonly origin: EvaluationSet["origin"];
  readonly injected: readonly Injected[];
  readonly facts: Facts;
}

/**
 * The facts that the audit gathers of a set.
 * @param kept folder where the set's photos lie, or are left for the next time; absent: nowhere
 */
export async function measureSet(set: EvaluationSet, kept?: string): Promise<MeasuredSet> {
  const folder = kept ?? (await mkdtemp(join(tmpdir(), `goodgate-${set.name}-`)));
  try {
    await writePhotos(set, folder);
    const { facts } = await audit(folder, { jobs: 1, cache: false });
    return { name: set.name, origin: set.origin, injected: set.injected, facts };
  } finally {
    if (kept === undefined) await rm(folder, { recursive: true });
  }
}

/** Writes the photos that are not there yet as JPEG files, named in order. */
async function writePhotos(set: EvaluationSet, folder: string): Promise<void> {
  await mkdir(folder, { recursive: true });
  for (const index of set.injected.keys()) {
    const path = join(folder, `${String(index + 1).padStart(3, "0")}.jpg`);
    if (existsSync(path)) continue;
    const { width, height, data } = await set.photo(index);
    const picture = sharp(data, { raw: { width, height, channels: 3 } });
    // Whole under its own name, or not there.
    await picture.jpeg({ quality: 92 }).toFile(`${path}.partial`);
    await rename(`${path}.partial`, path);
  }
}

/** One photo after its pixels were measured. */
export interface MeasuredPixels extends PhotoMeasurement {
  readonly file: string;
  readonly contentHash: string;
  readonly exif: Exif;
}

/** What the audit makes of measured photos, and the subject's regions, which it does not hand out: pairs, geometry, subject, facts. */
export async function gatherFacts(
  name: string,
  photos: readonly MeasuredPixels[],
  turnedSubject = false,
): Promise<{ facts: Facts; subject: Subject }> {
  const { compared, comparedWith } = await linkPhotos(
    photos.length,
    Promise.resolve(voteForPairs(photos.map(({ features }) => features))),
    async (candidates) =>
      candidates.map(({ a, b }) =>
        measurePair(photos[a].features, photos[b].features, 1, turnedSubject ? dynamicMatches : undefined),
      ),
    ({ facts }) => facts.verifiedMatches > 0,
  );
  const pairs = compared.map(({ a, b, result }) => ({ a, b, ...result }));
  const links = pairs.map(({ a, b, inliers, facts }) => ({
    i: a,
    j: b,
    inliers,
    verifiedRatio: facts.verifiedRatio,
  }));
  const around = measureAround(
    photos.map(({ features, exif }) => ({ features, focalLength35Mm: exif.focalLength35Mm })),
    links,
    turnedSubject ? { turnedSubject } : {},
  );
  const solved = solvedMeasures(
    photos.map(({ measures }) => measures),
    pairs,
    comparedWith,
  );
  const subject = subjectOf(
    photos.map(({ tiles }) => tiles),
    (photo) => photos[photo],
    links,
    around.parts,
  );
  const facts: Facts = roundFacts<Facts>({
    folder: name,
    orderedBy: "file name",
    photos: photos.map(({ file, contentHash, exif, widthPx, heightPx, measures, tiles }, i) => ({
      file,
      widthPx,
      heightPx,
      contentHash,
      exif,
      measures: { ...measures, ...solved[i] },
      tiles,
      subject: subject.facts[i],
    })),
    pairs: pairs.map(({ a, b, facts: pair }) => ({ a: photos[a].file, b: photos[b].file, ...pair })),
    around: aroundFacts(
      around,
      photos.map(({ file }) => file),
      360,
    ),
    unreadable: [],
    unsupported: [],
    otherFiles: 0,
  });
  return { facts, subject };
}

/** Solves a set's pairs again, so that a change in measure/set shows without measuring photos anew. */
export function solveAgain(set: MeasuredSet): MeasuredSet {
  const { photos, pairs } = set.facts;
  const place = new Map(photos.map(({ file }, i) => [file, i]));
  const solvable = pairs.map(({ a, b, ...facts }) => ({ a: place.get(a)!, b: place.get(b)!, facts }));
  const compared = Int32Array.from(photos, ({ measures }) => measures.comparedPhotos.value);
  const solved = solvedMeasures(
    photos.map(({ measures }) => measures),
    solvable,
    compared,
  );
  const facts: Facts = roundFacts<Facts>({
    ...set.facts,
    photos: photos.map((photo, i) => ({ ...photo, measures: { ...photo.measures, ...solved[i] } })),
  });
  return { ...set, facts };
}
