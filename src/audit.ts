import { defaultLimits, judge } from "./checks/index.js";
import { type FolderListing, listFolder } from "./gather/folder.js";
import { captureOrder } from "./gather/order.js";
import { type PhotosRead, Run, type RunOptions } from "./gather/run.js";
import { measureSet, type SetFacts } from "./measure-set.js";
import { countsOf } from "./report/counts.js";
import type { Facts } from "./types/facts.js";
import type { Limits } from "./types/judgement.js";
import type { Report } from "./types/report.js";
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
    await run.pause();
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
