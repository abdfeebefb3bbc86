import { type Stats, statSync } from "node:fs";
import { readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { isGone, OWNER_PATTERN } from "./owner.js";

/** Most that is stored between runs, MiB: the facts of about 5,000 photos. */
const CACHE_LIMIT_MIB = 1024;
/** Pruning goes down to this share of the limit, so that not every run prunes. */
const DOWN_TO = 0.8;

/** A run at the same time may have begun this long before, and be about to read what it stored (our choice). */
const OTHER_RUN_MS = 10 * 60_000;

interface StoredFile {
  readonly path: string;
  readonly bytes: number;
  /** When it was last written or read. */
  readonly usedMs: number;
}

/**
 * Takes the files that were longest not used out of a cache folder that has grown beyond its limit. Files that vanish
 * meanwhile, since another run prunes too, or that cannot be removed, do not matter.
 *
 * @param startedMs when the run began that asks for it, as Date.now() has it: what was used since stays, however much
 *   that is
 * @returns bytes left
 */
export async function prune(
  folder: string,
  startedMs: number,
  limitBytes = CACHE_LIMIT_MIB * 2 ** 20,
): Promise<number> {
  const stored = await withoutLeft(await filesOf(folder));
  let bytes = stored.reduce((sum, file) => sum + file.bytes, 0);
  if (bytes <= limitBytes) return bytes;
  const unused = stored.filter(({ usedMs }) => usedMs < startedMs - OTHER_RUN_MS);
  unused.sort((p, q) => p.usedMs - q.usedMs);
  for (const file of unused) {
    if (bytes <= DOWN_TO * limitBytes) break;
    if (await removed(file.path)) bytes -= file.bytes;
  }
  return bytes;
}

/** Halves that killed runs left, and no other can be writing. */
const UNFINISHED = new RegExp(`\\.[a-z]+\\.${OWNER_PATTERN}-[0-9a-f]+$`);

async function withoutLeft(files: readonly StoredFile[]): Promise<StoredFile[]> {
  const stored: StoredFile[] = [];
  for (const file of files) {
    const [, where, pid] = UNFINISHED.exec(file.path) ?? [];
    if (where !== undefined && isGone(where, pid) && (await removed(file.path))) continue;
    stored.push(file);
  }
  return stored;
}

const OWN_FOLDER = new RegExp(`^goodgate-${OWNER_PATTERN}-[A-Za-z0-9]{6}$`);

/** Takes away the temporary folders of runs that were killed before they could. Links are left alone. */
export async function removeLeftFolders(folder = tmpdir()): Promise<void> {
  for (const name of await namesIn(folder, OWN_FOLDER)) {
    const [, where, pid] = OWN_FOLDER.exec(name) ?? [];
    if (!isGone(where, pid)) continue;
    await rm(join(folder, name), { recursive: true, force: true }).catch(() => {});
  }
}

async function removed(path: string): Promise<boolean> {
  try {
    await rm(path, { force: true });
    return true;
  } catch {
    return false;
  }
}

/** Only files that lie where a Store puts them: whatever else the folder holds is not ours. */
async function filesOf(folder: string): Promise<StoredFile[]> {
  const stored: StoredFile[] = [];
  for (const shelf of await namesIn(folder, /^[0-9a-f]{2}$/)) {
    for (const name of await namesIn(join(folder, shelf), /^[0-9a-f]{62}\.[a-z]+/)) {
      const path = join(folder, shelf, name);
      const found = statOf(path);
      if (found?.isFile()) stored.push({ path, bytes: found.size, usedMs: found.mtimeMs });
    }
  }
  return stored;
}

/** One by one and at once: with 10,000 files, a promise for each takes several times as long. */
function statOf(path: string): Stats | undefined {
  try {
    return statSync(path);
  } catch {
    return undefined;
  }
}

async function namesIn(folder: string, pattern: RegExp): Promise<string[]> {
  const names = await readdir(folder).catch(() => []);
  return names.filter((name) => pattern.test(name));
}
