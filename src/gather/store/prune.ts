import { readdir, rm, stat } from "node:fs/promises";
import { join } from "node:path";

/** Most that is kept between runs, MiB: the facts of about 5,000 photos. */
const CACHE_LIMIT_MIB = 1024;
/** Pruning goes down to this share of the limit, so that not every run prunes. */
const DOWN_TO = 0.8;

interface Kept {
  readonly path: string;
  readonly bytes: number;
  readonly writtenMs: number;
}

/**
 * Takes the oldest files out of a cache folder that has grown beyond its limit. Files that vanish meanwhile, since
 * another run prunes too, do not matter.
 *
 * @returns bytes left
 */
export async function prune(folder: string, limitBytes = CACHE_LIMIT_MIB * 2 ** 20): Promise<number> {
  const kept = await filesOf(folder);
  let bytes = kept.reduce((sum, file) => sum + file.bytes, 0);
  if (bytes <= limitBytes) return bytes;
  kept.sort((p, q) => p.writtenMs - q.writtenMs);
  for (const file of kept) {
    if (bytes <= DOWN_TO * limitBytes) break;
    await rm(file.path, { force: true });
    bytes -= file.bytes;
  }
  return bytes;
}

/** Only files that lie where a Store puts them: whatever else the folder holds is not ours. */
async function filesOf(folder: string): Promise<Kept[]> {
  const kept: Kept[] = [];
  for (const shelf of await namesIn(folder, /^[0-9a-f]{2}$/)) {
    for (const name of await namesIn(join(folder, shelf), /^[0-9a-f]{62}\.(?:photo|pairs|set)/)) {
      const path = join(folder, shelf, name);
      const found = await stat(path).catch(() => undefined);
      if (found?.isFile()) kept.push({ path, bytes: found.size, writtenMs: found.mtimeMs });
    }
  }
  return kept;
}

async function namesIn(folder: string, pattern: RegExp): Promise<string[]> {
  const names = await readdir(folder).catch(() => []);
  return names.filter((name) => pattern.test(name));
}
