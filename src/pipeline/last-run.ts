import { realpathSync } from "node:fs";
import { askedBy, changesSince } from "../report/since.js";
import { cacheFolder, ownFolder } from "../runtime/cache/place.js";
import { Store } from "../runtime/cache/store.js";
import type { Report } from "../types/report.js";
import type { Asked, SinceLastRun } from "../types/since.js";

/** What is kept of a folder: what its last run asked for, and the last one before that asked for something else. */
interface Kept {
  readonly latest: readonly Asked[];
  readonly before?: readonly Asked[];
}

/**
 * What has become of what the last run on the same folder asked for, and keeps for the next run what this one does. The same
 * folder judged once more gives the same answer. Undefined where no earlier run is known, or the cache cannot be used:
 * nobody has to know of it then.
 *
 * @param request what else the verdict hangs on: with other limits or another span, nothing is the same
 */
export function sinceLastRun(
  folder: string,
  report: Report,
  request: readonly unknown[],
): SinceLastRun | undefined {
  const place = ownFolder(cacheFolder());
  if (!("folder" in place)) return undefined;
  const store = new Store({ folder: place.folder, lasting: true });
  const key = [realpathSync(folder), ...request, report.judgement.limits];
  const now = askedBy(report);
  const kept = store.read(KIND, key);
  const known = isKept(kept) ? kept : undefined;
  const same = known !== undefined && JSON.stringify(known.latest) === JSON.stringify(now);
  const before = same ? known.before : known?.latest;
  if (!same) store.write(KIND, key, { latest: now, ...(before && { before }) } satisfies Kept);
  return before === undefined ? undefined : changesSince(before, report);
}

/** Ends the names of these files. */
const KIND = "asked";

function isKept(value: unknown): value is Kept {
  return typeof value === "object" && value !== null && "latest" in value && Array.isArray(value.latest);
}
