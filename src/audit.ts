import { defaultLimits, judge } from "./checks/index.js";
import { GatherError } from "./gather/errors.js";
import { listFolder, type PhotoFile } from "./gather/folder.js";
import { captureOrder } from "./gather/order.js";
import type { PairTask, PhotoTask, Result, ResultOf, Task } from "./gather/tasks.js";
import { availableCores, createPool, type Outcome, type Pool } from "./gather/threads.js";
import type { PairMeasures } from "./measure/pair/pair.js";
import { type Candidate, linkPhotos } from "./measure/set/link.js";
import { roundFacts } from "./measure/set/round.js";
import { solvedMeasures } from "./measure/set/solved.js";
import { countsOf } from "./report/counts.js";
import type { Cells, Facts, Features, Limits, MeasuredPhoto, Report, UnreadableFile } from "./types.js";
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
  /** Accepted from the start; there is no cache yet. */
  readonly cache?: boolean;
  readonly limits?: Limits;
  /** Most photos the upload takes. */
  readonly atMost?: number;
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
  const listing = await listFolder(folder, options.signal ? { signal: options.signal } : {});
  const pool = createPool<Task, Result>(
    options.jobs ?? availableCores(),
    new URL("./gather/worker.js", import.meta.url),
  );
  try {
    const { read, unreadable } = await measurePhotos(pool, listing.photos, options);
    const { photos: ordered, orderedBy } = captureOrder(read);
    const linking = await linkPhotos(
      ordered.length,
      (candidates) => measurePairs(pool, ordered, candidates, options),
      ({ facts }) => facts.verifiedMatches > 0,
    );
    const pairs = linking.compared.map(({ a, b, result }) => ({ a, b, ...result }));
    const solved = solvedMeasures(ordered.length, pairs, linking.comparedWith);
    const facts: Facts = roundFacts({
      folder: listing.name,
      orderedBy,
      photos: ordered.map(({ features: _, cells: __, ...photo }, i) => ({
        ...photo,
        measures: { ...photo.measures, ...solved[i] },
      })),
      pairs: pairs.map(({ a, b, facts }) => ({ a: ordered[a].file, b: ordered[b].file, ...facts })),
      unreadable,
      unsupported: listing.unsupported,
      otherFiles: listing.otherFiles,
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

async function measurePhotos(
  pool: Pool<Task, Result>,
  files: readonly PhotoFile[],
  options: AuditOptions,
): Promise<{ read: ReadPhoto[]; unreadable: UnreadableFile[] }> {
  const tasks = files.map(({ file, path }): PhotoTask => ({ kind: "photo", file, path }));
  const read: ReadPhoto[] = [];
  const unreadable: UnreadableFile[] = [];
  for (const [i, outcome] of (await runAll(pool, tasks, "photos", options)).entries()) {
    if (!outcome.ok)
      unreadable.push({ file: files[i].file, reason: `measuring it failed (${outcome.error.message})` });
    else if ("unreadable" in outcome.value) unreadable.push(outcome.value.unreadable);
    else read.push({ ...outcome.value.facts, features: outcome.value.features, cells: outcome.value.cells });
  }
  if (read.length === 0) throw noneReadable(unreadable);
  return { read, unreadable };
}

async function measurePairs(
  pool: Pool<Task, Result>,
  photos: readonly ReadPhoto[],
  candidates: readonly Candidate[],
  options: AuditOptions,
): Promise<PairMeasures[]> {
  const tasks = candidates.map(({ a, b }): PairTask => {
    const [one, other] = [photos[a], photos[b]];
    return {
      kind: "pair",
      a: one.features,
      b: other.features,
      seed: pairSeed(one.contentHash, other.contentHash),
    };
  });
  return (await runAll(pool, tasks, "pairs", options)).map((outcome) => {
    if (!outcome.ok) throw outcome.error;
    return outcome.value;
  });
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
): Promise<Outcome<ResultOf<T>>[]> {
  let done = 0;
  const outcomes = await pool.map(tasks, {
    ...(signal && { signal }),
    onDone: () => onProgress?.({ stage, done: ++done, of: tasks.length }),
  });
  return outcomes as Outcome<ResultOf<T>>[];
}

function noneReadable(unreadable: readonly UnreadableFile[]): GatherError {
  const first = unreadable[0];
  return new GatherError(
    "at least one photo that can be read",
    unreadable.length === 1
      ? `the only one cannot be read (${first.file}: ${first.reason})`
      : `none of the ${unreadable.length} can be read (${first.file}: ${first.reason})`,
    "copy the photos from the phone again",
  );
}
