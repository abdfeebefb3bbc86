import { defaultLimits, judge } from "../checks/index.js";
import { type FolderListing, listFolder } from "../gather/folder.js";
import { captureOrder, type Ordered } from "../gather/order.js";
import { aroundFacts } from "../measure/coverage/facts.js";
import { roundFacts } from "../measure/set/round.js";
import { solvedMeasures } from "../measure/set/solved.js";
import { countsOf } from "../report/counts.js";
import { collectAfterMany } from "../runtime/memory.js";
import type { RuntimeOptions } from "../runtime/runtime.js";
import type { Facts } from "../types/facts.js";
import type { Limits } from "../types/judgement.js";
import type { Report } from "../types/report.js";
import { toolName, toolVersion } from "../version.js";
import { keyOf } from "./ask-pairs.js";
import { type AuditRuntime, type Stage, startRuntime } from "./audit-runtime.js";
import { choosePairs, comparePairs } from "./compare-pairs.js";
import { DATA_GONE, type ReadPhoto } from "./photo-data.js";
import { type PhotosRead, readPhotos } from "./read-photos.js";
import { forWholeSet } from "./set-task.js";

export type { AuditProgress } from "./audit-runtime.js";

export interface AuditOptions extends RuntimeOptions<Stage> {
  /** Looks into the folders inside as well. */
  readonly recursive?: boolean;
  readonly limits?: Limits;
  /** Most photos the upload takes. */
  readonly atMost?: number;
  /** How much of the way round the subject is wanted, degrees in (0, 360]; 360 unless said. */
  readonly spanDeg?: number;
  /** Findings of severity "edit" fail the set too. */
  readonly strict?: boolean;
  /** Told of photos that count as unreadable for an error that nobody foresaw, and where that arose. */
  readonly onFault?: (file: string, where: string) => void;
}

/**
 * Audits a folder of photos: the steps in their order, and nothing else decides it. Nothing in the folder is written to.
 *
 * @throws GatherError where there is nothing to judge: no folder, no photos, none readable
 */
export async function audit(folder: string, options: AuditOptions = {}): Promise<Report> {
  const { recursive = false, signal } = options;
  const listing = await listFolder(folder, { recursive, ...(signal && { signal }) });
  try {
    return await auditListed(listing, options, false);
  } catch (error) {
    if (!(error instanceof Error && error.message === DATA_GONE)) throw error;
    // A photo's data is read late, if at all. Where it turns out damaged, that photo has to be measured anew.
    return await auditListed(listing, options, true);
  }
}

async function auditListed(
  listing: FolderListing,
  options: AuditOptions,
  checkStored: boolean,
): Promise<Report> {
  const { onFault, spanDeg = 360, limits = defaultLimits, strict = false } = options;
  const runtime = startRuntime(options);
  try {
    const { read, ...notRead } = await readPhotos(runtime, listing, { onFault, checkStored });
    const order = captureOrder(read);
    const measured = await runtime.once(setKey(order, spanDeg), () => measureSet(runtime, order, spanDeg));
    await runtime.pause();
    const facts: Facts = { ...measured, ...aboutFolder(listing, notRead, options) };
    const judgement = judge(facts, limits, { strict });
    const tool = { name: toolName, version: toolVersion() };
    return { tool, facts, judgement, counts: countsOf(facts, judgement) };
  } finally {
    await runtime.close();
  }
}

/** The facts that photos have together, and each of them within the set. */
type SetFacts = Pick<Facts, "orderedBy" | "photos" | "pairs" | "around" | "light">;

/**
 * Measures photos against one another: which show the same surface, where the cameras stood, which pixels are the
 * subject's and how it is lit.
 *
 * @param photos in capture order
 * @param spanDeg how much of the way round the subject is wanted, degrees in (0, 360]
 */
async function measureSet(
  runtime: AuditRuntime,
  { photos, orderedBy }: Ordered<ReadPhoto>,
  spanDeg: number,
): Promise<SetFacts> {
  const alike = choosePairs(runtime, photos);
  const { pairs, comparedWith, turnedSubject } = await comparePairs(runtime, photos, alike);
  const solved = solvedMeasures(
    photos.map(({ measures }) => measures),
    pairs,
    comparedWith,
  );
  const set = forWholeSet(photos, pairs, turnedSubject);
  collectAfterMany(photos.length);
  const around = await runtime.whole("solveCameras", { ...set, spanDeg });
  const subject = await runtime.whole("findSubject", { ...set, parts: around.parts });
  const { views, facts: subjects, spots } = subject;
  const light = await runtime.whole("measureLight", { ...set, parts: around.parts, views, solved });
  await runtime.pause();
  return roundFacts({
    orderedBy,
    photos: photos.map(({ data: _, ...photo }, i) => ({
      ...photo,
      measures: { ...photo.measures, ...solved[i] },
      subject: subjects[i],
    })),
    pairs: pairs.map(({ a, b, facts }, k) => ({
      a: photos[a].file,
      b: photos[b].file,
      ...facts,
      ...(spots[k] && { spot: spots[k] }),
    })),
    around: aroundFacts(
      around,
      photos.map(({ file }) => file),
      spanDeg,
    ),
    light,
  });
}

/** What the facts of a set hang on; undefined where a photo's data could not be stored. */
function setKey({ photos, orderedBy }: Ordered<ReadPhoto>, spanDeg: number): readonly unknown[] | undefined {
  const keys = photos.map(keyOf);
  if (keys.includes(undefined)) return undefined;
  return [photos.map(({ file }) => file), orderedBy, spanDeg, keys];
}

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
