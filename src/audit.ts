import { defaultLimits, judge } from "./checks/index.js";
import { GatherError } from "./gather/errors.js";
import { type FolderListing, listFolder } from "./gather/folder.js";
import { captureOrder } from "./gather/order.js";
import type { PairResult, PairTask, PhotoTask, Result, ResultOf, StillTask, Task } from "./gather/tasks.js";
import { availableCores, createPool, type Outcome, type Pool } from "./gather/threads.js";
import { failureReason, photoLimitMs } from "./gather/time-limit.js";
import { kernelModule } from "./kernels/kernels.js";
import { measureAround } from "./measure/around/around.js";
import { aroundFacts } from "./measure/around/facts.js";
import { voteForPairs } from "./measure/around/select-pairs.js";
import { farPairs, type StillMatches, subjectTurned } from "./measure/around/turned-subject.js";
import { comparableFacts } from "./measure/set/comparable.js";
import { type Candidate, linkPhotos } from "./measure/set/link.js";
import { roundFacts } from "./measure/set/round.js";
import { solvedMeasures } from "./measure/set/solved.js";
import { subjectOf } from "./measure/subject/subject.js";
import { countsOf } from "./report/counts.js";
import type {
  Cells,
  Facts,
  Features,
  Limits,
  MeasuredPhoto,
  Report,
  UnreadableFile,
  UnsupportedFile,
} from "./types.js";
import { toolName, toolVersion } from "./version.js";

/** How far a run has come. */
export interface AuditProgress {
  readonly stage: "photos" | "pairs";
  readonly done: number;
  readonly of: number;
}

export interface AuditOptions {
  /** Threads; as many as there are cores unless said. */
  readonly jobs?: number;
  /** Looks into the folders inside as well. */
  readonly recursive?: boolean;
  /** Accepted from the start; there is no cache yet. */
  readonly cache?: boolean;
  readonly limits?: Limits;
  /** Most photos the upload takes. */
  readonly atMost?: number;
  /** How much of the way round the subject is wanted, degrees in (0, 360]; 360 unless said. */
  readonly spanDeg?: number;
  /** Findings of severity "edit" fail the set too. */
  readonly strict?: boolean;
  readonly onProgress?: (progress: AuditProgress) => void;
  readonly signal?: AbortSignal;
}

/**
 * Audits a folder of photos: gather and measure in threads, judge, and hand over what a renderer needs.
 * Nothing in the folder is written to.
 *
 * @throws GatherError where there is nothing to judge: no folder, no photos, none readable
 */
export async function audit(folder: string, options: AuditOptions = {}): Promise<Report> {
  const { recursive = false, signal } = options;
  const listing = await listFolder(folder, { recursive, ...(signal && { signal }) });
  const pool = createPool<Task, Result>(
    options.jobs ?? availableCores(),
    new URL("./gather/worker.js", import.meta.url),
    kernelModule(),
  );
  try {
    const { read, unreadable, unsupported } = await measurePhotos(pool, listing, options);
    const { photos: ordered, orderedBy } = captureOrder(read);
    const turnedSubject = await seeTurning(pool, ordered, options);
    const linking = await linkPhotos(
      ordered.length,
      voteForPairs(ordered.map(({ features }) => features)),
      (candidates) => measurePairs(pool, ordered, candidates, turnedSubject === true, options),
      ({ facts }) => facts.verifiedMatches > 0,
    );
    const pairs = linking.compared.map(({ a, b, result }) => ({
      a,
      b,
      ...result,
      facts: comparableFacts(ordered[a], ordered[b], result.facts),
    }));
    const solved = solvedMeasures(ordered.length, pairs, linking.comparedWith);
    const spanDeg = options.spanDeg ?? 360;
    // Holds the cameras' places too (parts[].solution): whatever needs features, matches and cameras goes here.
    const around = measureAround(
      ordered.map(({ features, exif }) => ({ features, focalLength35Mm: exif.focalLength35Mm })),
      pairs.map(({ a, b, inliers, facts, pose }) => ({
        i: a,
        j: b,
        inliers,
        verifiedRatio: facts.verifiedRatio,
        ...(pose && { pose }),
      })),
      { spanDeg, turnedSubject },
    );
    const subject = subjectOf(
      ordered,
      pairs.map(({ a, b, inliers }) => ({ i: a, j: b, inliers })),
      around.parts,
    );
    const facts: Facts = roundFacts({
      folder: listing.name,
      orderedBy,
      photos: ordered.map(({ features: _, cells: __, ...photo }, i) => ({
        ...photo,
        measures: { ...photo.measures, ...solved[i] },
        subject: subject.facts[i],
      })),
      pairs: pairs.map(({ a, b, facts }) => ({ a: ordered[a].file, b: ordered[b].file, ...facts })),
      around: aroundFacts(
        around,
        ordered.map(({ file }) => file),
        spanDeg,
      ),
      unreadable,
      unsupported,
      otherFiles: listing.otherFiles,
      ...(listing.leftAlone && { leftAlone: listing.leftAlone }),
      ...(options.atMost === undefined ? {} : { atMostPhotos: options.atMost }),
    });
    const judgement = judge(facts, options.limits ?? defaultLimits, { strict: options.strict ?? false });
    return {
      tool: { name: toolName, version: toolVersion() },
      facts,
      judgement,
      counts: countsOf(facts, judgement),
    };
  } finally {
    await pool.close();
  }
}

type ReadPhoto = MeasuredPhoto & { readonly features: Features; readonly cells: Cells };

interface PhotosRead {
  readonly read: ReadPhoto[];
  readonly unreadable: UnreadableFile[];
  readonly unsupported: UnsupportedFile[];
}

async function measurePhotos(
  pool: Pool<Task, Result>,
  { photos, unreadable: closed }: FolderListing,
  options: AuditOptions,
): Promise<PhotosRead> {
  const tasks = photos.map(({ file, path }): PhotoTask => ({ kind: "photo", file, path }));
  const found: PhotosRead = { read: [], unreadable: [...closed], unsupported: [] };
  const outcomes = await runAll(pool, tasks, "photos", options, photoLimitMs(pool.jobs));
  for (const [i, outcome] of outcomes.entries()) {
    if (!outcome.ok) found.unreadable.push({ file: photos[i].file, reason: failureReason(outcome.error) });
    else if ("unreadable" in outcome.value) found.unreadable.push(outcome.value.unreadable);
    else if ("unsupported" in outcome.value) found.unsupported.push(outcome.value.unsupported);
    else
      found.read.push({
        ...outcome.value.facts,
        features: outcome.value.features,
        cells: outcome.value.cells,
      });
  }
  if (found.read.length === 0) throw noneReadable(found);
  return found;
}

/** Far pairs asked first; only where any of them sees a background at rest are the others asked. */
const FIRST_FAR_PAIRS = 8;

/** Whether the subject was turned before a camera at rest; undefined where there are too few photos to ask. */
async function seeTurning(
  pool: Pool<Task, Result>,
  photos: readonly ReadPhoto[],
  options: AuditOptions,
): Promise<boolean | undefined> {
  const tasks = farPairs(photos.length).map(
    ([a, b]): StillTask => ({ kind: "still", a: photos[a].features, b: photos[b].features }),
  );
  // Spread over the set, like the whole list.
  const step = Math.max(1, Math.floor(tasks.length / FIRST_FAR_PAIRS));
  const first = tasks.filter((_, i) => i % step === 0);
  const rest = tasks.filter((_, i) => i % step !== 0);
  const votes = await askFarPairs(pool, first, options);
  if (votes.some(({ still }) => still)) votes.push(...(await askFarPairs(pool, rest, options)));
  return subjectTurned(votes);
}

async function askFarPairs(
  pool: Pool<Task, Result>,
  tasks: readonly StillTask[],
  { signal }: AuditOptions,
): Promise<StillMatches[]> {
  return (await runAll(pool, tasks, "pairs", signal ? { signal } : {})).map(answerOf);
}

async function measurePairs(
  pool: Pool<Task, Result>,
  photos: readonly ReadPhoto[],
  candidates: readonly Candidate[],
  movingOnly: boolean,
  options: AuditOptions,
): Promise<PairResult[]> {
  const tasks = candidates.map(({ a, b }): PairTask => {
    const [one, other] = [photos[a], photos[b]];
    return {
      kind: "pair",
      a: one.features,
      b: other.features,
      focalLength35Mm: { a: one.exif.focalLength35Mm, b: other.exif.focalLength35Mm },
      movingOnly,
      seed: pairSeed(one.contentHash, other.contentHash),
    };
  });
  return (await runAll(pool, tasks, "pairs", options)).map(answerOf);
}

/** @throws whatever made the task fail: with photos that were measured, only a mistake in this program can. */
function answerOf<R>(outcome: Outcome<R>): R {
  if (!outcome.ok) throw outcome.error;
  return outcome.value;
}

/** Seeds hang on what the photos show, so that renaming or adding files changes no pair. */
function pairSeed(hashA: string, hashB: string): number {
  return Number.parseInt(hashA.slice(0, 8), 16) ^ Number.parseInt(hashB.slice(8, 16), 16);
}

/** Runs many tasks of one kind, saying how far it is. Outcomes come in the order of the tasks. */
async function runAll<T extends Task>(
  pool: Pool<Task, Result>,
  tasks: readonly T[],
  stage: AuditProgress["stage"],
  { onProgress, signal }: AuditOptions,
  limitMs?: number,
): Promise<Outcome<ResultOf<T>>[]> {
  let done = 0;
  const outcomes = await pool.map(tasks, {
    ...(signal && { signal }),
    ...(limitMs !== undefined && { limitMs }),
    onDone: () => onProgress?.({ stage, done: ++done, of: tasks.length }),
  });
  return outcomes as Outcome<ResultOf<T>>[];
}

function noneReadable({ unreadable, unsupported }: PhotosRead): GatherError {
  const [first, ...others] = [
    ...unreadable,
    ...unsupported.map(({ file }) => ({ file, reason: "a raw photo without a preview picture inside" })),
  ];
  return new GatherError(
    "at least one photo that can be read",
    others.length === 0
      ? `the only one cannot be read (${first.file}: ${first.reason})`
      : `none of the ${others.length + 1} can be read (${first.file}: ${first.reason})`,
    unreadable.length > 0 ? "copy the photos from the phone again" : "export JPEG copies of them",
  );
}
