import { accessSync, constants, existsSync, lstatSync, mkdirSync, realpathSync, statSync } from "node:fs";
import { homedir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { errorCode } from "../../errors.js";

/**
 * Where measured facts are stored between runs: GOODGATE_CACHE where it is set, else the user's own cache folder.
 * @see XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, or ~/.cache; the others by their system's custom
 */
export function cacheFolder(
  env: Readonly<Record<string, string | undefined>> = process.env,
  platform: NodeJS.Platform = process.platform,
  home: string = homedir(),
): string {
  if (env.GOODGATE_CACHE) return env.GOODGATE_CACHE;
  if (platform === "win32")
    return join(env.LOCALAPPDATA ?? join(home, "AppData", "Local"), "goodgate", "cache");
  if (platform === "darwin") return join(home, "Library", "Caches", "goodgate");
  return join(env.XDG_CACHE_HOME || join(home, ".cache"), "goodgate");
}

/** A folder that may be used, or a sentence that says why not. */
export type OwnFolder = { readonly folder: string } | { readonly why: string };

/** Bits of a mode that let the group or all others write. */
const OTHERS_WRITE = 0o022;

/**
 * A folder of the user's own, made where it is not there. It is trusted with facts that decide verdicts, so nobody else may
 * write to it; a link to it is the user's own affair.
 */
export function ownFolder(folder: string): OwnFolder {
  const named = `The cache folder ${JSON.stringify(folder)} is not used`;
  try {
    makeFolders(resolve(folder));
    const real = realpathSync(folder);
    const { uid, mode } = lstatSync(real);
    if (process.getuid !== undefined) {
      if (uid !== process.getuid()) return { why: `${named}: it belongs to another user.` };
      if ((mode & OTHERS_WRITE) !== 0) return { why: `${named}: other users may write to it (chmod go-w).` };
    }
    accessSync(real, constants.W_OK | constants.X_OK);
    return { folder: real };
  } catch (error) {
    return { why: `${named}: it cannot be made or written (${errorCode(error) ?? String(error)}).` };
  }
}

/** Node's own recursive way tries for ever where a folder that is there takes none inside, as under /proc. */
function makeFolders(folder: string): void {
  if (existsSync(folder)) {
    if (!statSync(folder).isDirectory()) throw Object.assign(new Error("no folder"), { code: "ENOTDIR" });
    return;
  }
  const parent = dirname(folder);
  if (parent !== folder) makeFolders(parent);
  try {
    mkdirSync(folder, { mode: 0o700 });
  } catch (error) {
    if (errorCode(error) !== "EEXIST") throw error;
  }
}
