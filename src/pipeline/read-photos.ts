import { isTooManyOpen, TOO_MANY_OPEN } from "../errors.js";
import { COPY_AGAIN, GatherError, OUT_OF_MEMORY } from "../gather/errors.js";
import type { FolderListing } from "../gather/folder.js";
import { photoLimitMs, unreadableAfter } from "../gather/time-limit.js";
import { LEFT_BYTES, MANY } from "../runtime/memory.js";
import { MOST_THREADS } from "../runtime/runtime.js";
import { type Outcome, TimeLimitError } from "../runtime/threads.js";
import type { Unreadable, UnreadableFile, UnsupportedFile } from "../types/folder.js";
import type { AuditRuntime } from "./audit-runtime.js";
import { onceEach } from "./once.js";
import type { ReadPhoto } from "./photo-data.js";
import type { PhotoResult, PhotoTask } from "./read-photo.js";

/** The photos of a folder, by what came of reading them. */
export interface PhotosRead {
  readonly read: ReadPhoto[];
  readonly unreadable: UnreadableFile[];
  readonly unsupported: UnsupportedFile[];
}

export interface ReadOptions {
  /** Told of photos that count as unreadable for an error that nobody foresaw, and where that arose. */
  readonly onFault?: ((file: string, where: string) => void) | undefined;
  /** Trusts no data of an earlier run that was not read and checked. */
  readonly checkStored?: boolean;
}

/**
 * What threads that read photos may take together, bytes, and what each takes beside decoding: eight that read photos of 12
 * megapixels peaked at 904 MB, of which the photos were 288. The process is to stay under 1 GiB, 1074 MB.
 */
const THREADS_BYTES = 1e9;
const THREAD_BYTES = 80e6;
/** Of that, what eight threads leave uncollected; fewer leave more each, and as much together. */
const LEFT_OF_THREAD_BYTES = LEFT_BYTES / MOST_THREADS;

/** What one of so many threads may take for decoding, bytes. */
export function decodingShare(jobs: number): number {
  return (THREADS_BYTES - LEFT_BYTES) / jobs - (THREAD_BYTES - LEFT_OF_THREAD_BYTES);
}

/**
 * Reads and measures all photos of a folder.
 * @throws GatherError where none can be read
 */
export async function readPhotos(
  runtime: AuditRuntime,
  { photos }: FolderListing,
  { onFault, checkStored = false }: ReadOptions = {},
): Promise<PhotosRead> {
  // Links to one file are read once, and share what was found.
  const { firsts, placeOf } = onceEach(photos, ({ identity, kind }) => identity && `${kind} ${identity}`);
  const tasks = firsts.map(
    ({ file, path }): PhotoTask => ({ file, path, checkStored, mostBytes: decodingShare(runtime.jobs) }),
  );
  const limitMs = photoLimitMs(runtime.jobs);
  const outcomes = await runtime.each("readPhoto", tasks, { stage: "photos", limitMs });
  await readPostponed(runtime, tasks, outcomes, limitMs);
  const found: PhotosRead = { read: [], unreadable: [], unsupported: [] };
  for (const [i, { file }] of photos.entries()) {
    const outcome = outcomes[placeOf[i]];
    if (!outcome.ok && isTooManyOpen(outcome.error)) throw new GatherError(...TOO_MANY_OPEN);
    const fault = faultOf(outcome);
    if (fault !== undefined) onFault?.(file, fault);
    if (!outcome.ok) found.unreadable.push({ file, ...unreadableAfter(outcome.error) });
    else if ("unreadable" in outcome.value) found.unreadable.push({ ...outcome.value.unreadable, file });
    else if ("postponed" in outcome.value) found.unreadable.push({ file, ...OUT_OF_MEMORY });
    else if ("unsupported" in outcome.value) found.unsupported.push({ ...outcome.value.unsupported, file });
    else found.read.push({ ...outcome.value.facts, file, data: outcome.value.data });
  }
  if (found.read.length === 0) throw noneReadable(found);
  // The threads that decoded keep the memory for it, 70 MiB each.
  if (photos.length > MANY) await runtime.rest("many");
  return found;
}

/** Large photos after all others, as few at a time as the memory for decoding holds. */
async function readPostponed(
  runtime: AuditRuntime,
  tasks: readonly PhotoTask[],
  outcomes: Outcome<PhotoResult>[],
  limitMs: number,
): Promise<void> {
  const needs = outcomes.flatMap((outcome, i) =>
    outcome.ok && "postponed" in outcome.value ? [{ i, bytes: outcome.value.postponed }] : [],
  );
  if (needs.length === 0) return;
  const largest = Math.max(...needs.map(({ bytes }) => bytes));
  // The pixels of one photo may lie about while the next is decoded: six threads with 75 MB each took 125 MB more apiece.
  const atOnce = Math.max(1, Math.floor(THREADS_BYTES / (2 * largest + THREAD_BYTES)));
  // Threads that would only wait keep what they decoded the others with.
  if (atOnce < runtime.jobs) await runtime.rest("many");
  const again = await runtime.each(
    "readPhoto",
    needs.map(({ i }) => ({ ...tasks[i], mostBytes: largest })),
    { limitMs, atOnce },
  );
  needs.forEach(({ i }, k) => {
    outcomes[i] = again[k];
  });
}

/** Where an unforeseen error arose; a photo that takes too long is none. */
function faultOf(outcome: Outcome<PhotoResult>): string | undefined {
  if (!outcome.ok) return outcome.error instanceof TimeLimitError ? undefined : outcome.error.stack;
  return "fault" in outcome.value ? outcome.value.fault : undefined;
}

function noneReadable({ unreadable, unsupported }: PhotosRead): GatherError {
  const [{ file, reason, wayOut }, ...others]: UnreadableFile[] = [
    ...unreadable,
    ...unsupported.map(({ file }) => ({ file, ...NO_PREVIEW })),
  ];
  const expected = "at least one photo that can be read";
  if (others.length === 0) {
    const found = `${file}, the only one, cannot be read (${reason})`;
    return new GatherError(expected, found, wayOut ?? COPY_AGAIN);
  }
  return new GatherError(
    expected,
    `none of the ${others.length + 1} can be read (${file}: ${reason})`,
    unreadable.length > 0 ? "copy the photos from the phone again" : "export JPEG copies of them",
  );
}

const NO_PREVIEW: Unreadable = {
  reason: "a raw photo without a preview picture inside",
  wayOut: "export a JPEG copy of it",
};
