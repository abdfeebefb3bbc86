import { defaultLimits, judge } from "./checks/index.js";
import { type FolderListing, listFolder } from "./gather/folder.js";
import { onceEach } from "./gather/once.js";
import { captureOrder, type Ordered } from "./gather/order.js";
import { type PhotosRead, type ReadPhoto, Run, type RunOptions } from "./gather/run.js";
import { aroundFacts } from "./measure/around/facts.js";
import { voteForPairs } from "./measure/around/select-pairs.js";
import { litPhotos } from "./measure/light/input.js";
import { measureLight } from "./measure/light/light.js";
import { comparableFacts, sharpnessGroup } from "./measure/set/comparable.js";
import { type Candidate, linkPhotos } from "./measure/set/link.js";
import { roundFacts } from "./measure/set/round.js";
import { solvedMeasures } from "./measure/set/solved.js";
import { subjectOf } from "./measure/subject/subject.js";
import { countsOf } from "./report/counts.js";
import type { Facts, Features, Limits, Report } from "./types.js";
import { toolName, toolVersion } from "./version.js";

export type { AuditProgress } from "./gather/run.js";

export interface AuditOptions extends RunOptions {
  /** Looks into the folders inside as well. */
  readonly recursive?: boolean;
  readonly limits?: Limits;
  /** Most photos the upload takes. */
  readonly atMost?: number;
  /** How much of the way round the subject is wanted, degrees in (0, 360]; 360 unless said. */
  readonly spanDeg?: number;
  /** Findings of severity "edit" fail the set too. */
  readonly strict?: boolean;
}

/**
 * Audits a folder of photos: gather and measure in threads, judge, and hand over what a renderer needs.
 * Nothing in the folder is written to.
 *
 * @throws GatherError where there is nothing to judge: no folder, no photos, none readable
 */
export async function audit(folder: string, options: AuditOptions = {}): Promise<Report> {
  const { recursive = false, signal, spanDeg = 360 } = options;
  const listing = await listFolder(folder, { recursive, ...(signal && { signal }) });
  const run = new Run(options);
  try {
    const { read, ...notRead } = await run.measurePhotos(listing);
    const order = captureOrder(read);
    const files = order.photos.map(({ file }) => file);
    const measured = await run.onceFor([files, order.orderedBy, spanDeg], order.photos, () =>
      measureSet(run, order, spanDeg),
    );
    const facts: Facts = { ...measured, ...aboutFolder(listing, notRead, options) };
    const judgement = judge(facts, options.limits ?? defaultLimits, { strict: options.strict ?? false });
    return {
      tool: { name: toolName, version: toolVersion() },
      facts,
      judgement,
      counts: countsOf(facts, judgement),
    };
  } finally {
    await run.close();
  }
}

type SetFacts = Pick<Facts, "orderedBy" | "photos" | "pairs" | "around" | "light">;

/** What a folder holds besides photos that were measured, and what the user asks of it. */
function aboutFolder(
  { name, otherFiles, leftAlone }: FolderListing,
  { unreadable, unsupported }: Omit<PhotosRead, "read">,
  { atMost }: AuditOptions,
): Omit<Facts, keyof SetFacts> {
  return {
    folder: name,
    unreadable,
    unsupported,
    otherFiles,
    ...(leftAlone && { leftAlone }),
    ...(atMost !== undefined && { atMostPhotos: atMost }),
  };
}

/** All that is measured on photos together. */
async function measureSet(
  run: Run,
  { photos, orderedBy }: Ordered<ReadPhoto>,
  spanDeg: number,
): Promise<SetFacts> {
  const turnedSubject = await run.seeTurning(photos);
  const linking = await linkPhotos(
    photos.length,
    voteForPairs(featuresOf(run, photos)),
    (candidates) => run.measurePairs(photos, candidates, turnedSubject === true),
    ({ facts }) => facts.verifiedMatches > 0,
  );
  await run.endThreads();
  const pairs = linking.compared.map(({ a, b, result }) => ({
    a,
    b,
    ...result,
    facts: comparableFacts(photos[a], photos[b], result.facts),
  }));
  const solved = solvedMeasures(photos.length, pairs, linking.comparedWith);
  // Holds the cameras' places too (parts[].solution): whatever needs features, matches and cameras goes here.
  const around = await run.measureAround(
    photos.map((photo) => ({
      features: pointsOf(run.dataOf(photo).features),
      focalLength35Mm: photo.exif.focalLength35Mm,
    })),
    betweenFirsts(pairs, firstCopies(photos)).map(({ a, b, inliers, facts, pose }) => ({
      i: a,
      j: b,
      inliers,
      verifiedRatio: facts.verifiedRatio,
      ...(pose && { pose }),
    })),
    { spanDeg, turnedSubject },
  );
  const subject = subjectOf(
    photos.map(({ tiles }) => tiles),
    (photo) => run.dataOf(photos[photo]),
    pairs.map(({ a, b, inliers }) => ({
      i: a,
      j: b,
      inliers,
      comparable: sharpnessGroup(photos[a]) === sharpnessGroup(photos[b]),
    })),
    around.parts,
  );
  const light = measureLight(
    litPhotos(photos, solved, subject.views, around.parts),
    (photo) => run.dataOf(photos[photo]),
    pairs.map(({ a, b, inliers, facts }) => ({ a, b, inliers, driftStops: facts.exposureDriftStops })),
    turnedSubject === true,
  );
  return roundFacts({
    orderedBy,
    photos: photos.map(({ data: _, ...photo }, i) => ({
      ...photo,
      measures: { ...photo.measures, ...solved[i] },
      subject: subject.facts[i],
    })),
    pairs: pairs.map(({ a, b, facts }) => ({ a: photos[a].file, b: photos[b].file, ...facts })),
    around: aroundFacts(
      around,
      photos.map(({ file }) => file),
      spanDeg,
    ),
    light,
  });
}

/** For each photo, the first in order whose file holds the same bytes: a copy shows no other view. */
function firstCopies(photos: readonly ReadPhoto[]): number[] {
  const { firsts, placeOf } = onceEach([...photos.keys()], (i) => photos[i].contentHash);
  return placeOf.map((place) => firsts[place]);
}

/** Pairs of different photos, each once, copies standing for their firsts. */
function betweenFirsts<P extends Candidate>(pairs: readonly P[], firstOf: readonly number[]): readonly P[] {
  const different = pairs
    .map((pair) => ({ ...pair, a: firstOf[pair.a], b: firstOf[pair.b] }))
    .filter(({ a, b }) => a < b);
  return onceEach(different, ({ a, b }) => `${a} ${b}`).firsts;
}

/** Keypoints of one photo after another. */
function* featuresOf(run: Run, photos: readonly ReadPhoto[]): Generator<Features> {
  for (const photo of photos) yield run.dataOf(photo).features;
}

/** Where the keypoints are, without what else is known of them. */
function pointsOf({ x, y, widthPx, heightPx }: Features): Pick<Features, "x" | "y" | "widthPx" | "heightPx"> {
  return { x: x.slice(), y: y.slice(), widthPx, heightPx };
}
