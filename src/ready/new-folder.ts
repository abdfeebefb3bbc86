import { randomUUID } from "node:crypto";
import { link, lstat, mkdir, open, readdir, realpath, rename, rm, rmdir, writeFile } from "node:fs/promises";
import { basename, dirname, join, relative, resolve, sep } from "node:path";
import { ExplainedError, errorCode } from "../errors.js";

/** Where a folder is to appear, and what is to appear beside it. */
export interface NewPlace {
  readonly folder: string;
  readonly manifest: string;
  readonly report: string;
}

/** What cannot be written as asked. */
export class PlaceError extends ExplainedError {
  override readonly name = "PlaceError";
}

const WANTED = "a new or empty folder to copy into";

/**
 * Where the copy goes, once it is sure that nothing there is touched.
 *
 * @throws PlaceError where the folder holds anything, is no folder, lies within the source or around it, or where the
 * files beside it exist
 */
export async function newPlace(source: string, target: string): Promise<NewPlace> {
  const parent = dirname(resolve(target));
  const realParent = await realpath(parent).catch(() => {
    throw new PlaceError(WANTED, `there is no folder ${JSON.stringify(parent)}`, "make that folder first");
  });
  const folder = join(realParent, basename(resolve(target)));
  const found = await lstat(folder).catch(() => undefined);
  if (found && !found.isDirectory())
    throw new PlaceError(
      WANTED,
      `${JSON.stringify(target)} is ${found.isSymbolicLink() ? "a link" : "a file"}`,
      "name another",
    );
  if (found) {
    const names = await readdir(folder);
    if (names.length > 0)
      throw new PlaceError(WANTED, `${JSON.stringify(target)} is not empty`, "name another");
  }
  const from = await realpath(source).catch(() => resolve(source));
  if (isWithin(folder, from))
    throw new PlaceError(
      WANTED,
      `${JSON.stringify(target)} lies inside the folder of the photos`,
      "name one beside it",
    );
  if (isWithin(from, folder))
    throw new PlaceError(WANTED, `the photos lie inside ${JSON.stringify(target)}`, "name one beside them");
  const place = { folder, manifest: `${folder}.manifest.json`, report: `${folder}.report.json` };
  for (const file of [place.manifest, place.report]) {
    if (await lstat(file).catch(() => undefined))
      throw new PlaceError(
        "no file where the manifest and the report go",
        `${JSON.stringify(file)} exists`,
        "name another folder, or move that file",
      );
  }
  return place;
}

function isWithin(inner: string, outer: string): boolean {
  const way = relative(outer, inner);
  return way === "" || (way !== ".." && !way.startsWith(`..${sep}`));
}

/** A folder that is filled under another name and then appears whole, or not at all. */
export class Draft {
  readonly #place: NewPlace;
  readonly #folder: string;

  private constructor(place: NewPlace, folder: string) {
    this.#place = place;
    this.#folder = folder;
  }

  static async open(place: NewPlace): Promise<Draft> {
    const parent = dirname(place.folder);
    await dropAbandoned(parent, basename(place.folder));
    const folder = join(parent, `.${basename(place.folder)}.${process.pid}.${randomUUID()}.part`);
    await refusing(place, () => mkdir(join(folder, "files"), { recursive: true }));
    return new Draft(place, folder);
  }

  /** @param file its path within the folder */
  async add(file: string, bytes: Uint8Array, signal?: AbortSignal): Promise<void> {
    const path = join(this.#folder, "files", ...file.split("/"));
    await refusing(this.#place, async () => {
      await mkdir(dirname(path), { recursive: true });
      // Never over a file that is there: two names may differ in case alone, or in how they are spelt.
      const handle = await open(path, "wx");
      try {
        await handle.writeFile(bytes, signal ? { signal } : {});
        await handle.sync();
      } finally {
        await handle.close();
      }
    });
  }

  /** The folder appears, then what stands beside it; no file is ever replaced. */
  async finish(manifest: string, report: string): Promise<void> {
    const place = this.#place;
    await refusing(place, async () => {
      const beside = [
        [join(this.#folder, "manifest"), place.manifest, manifest],
        [join(this.#folder, "report"), place.report, report],
      ] as const;
      for (const [path, , text] of beside) await writeFile(path, text, { flag: "wx" });
      await rmdir(place.folder).catch((error) => {
        if (errorCode(error) !== "ENOENT") throw error;
      });
      await rename(join(this.#folder, "files"), place.folder);
      for (const [path, to] of beside) await link(path, to);
    });
    await this.drop();
  }

  async drop(): Promise<void> {
    await rm(this.#folder, { recursive: true, force: true });
  }
}

/** Removes what a run that was killed left under a temporary name; another run that still works keeps its own. */
async function dropAbandoned(parent: string, name: string): Promise<void> {
  for (const entry of await readdir(parent).catch(() => [])) {
    if (!entry.startsWith(`.${name}.`) || !entry.endsWith(".part")) continue;
    const [, pid] = /^\.(\d+)\.[0-9a-f-]{36}\.part$/.exec(entry.slice(name.length + 1)) ?? [];
    if (pid !== undefined && !isRunning(Number(pid)))
      await rm(join(parent, entry), { recursive: true, force: true });
  }
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return errorCode(error) !== "ESRCH";
  }
}

/** Says what the file system refused, in words. */
async function refusing<T>(place: NewPlace, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    const code = errorCode(error);
    if (code === undefined || code === "ABORT_ERR") throw error;
    throw new PlaceError(
      `to write ${JSON.stringify(place.folder)}`,
      REASONS[code] ?? `the file system refused (${code})`,
      code === "ENOSPC" ? "make room, or name a folder on another disk" : "name another place",
    );
  }
}

const REASONS: Readonly<Record<string, string>> = {
  ENOSPC: "the disk is full",
  EDQUOT: "this user's share of the disk is full",
  EROFS: "the disk can only be read",
  EACCES: "this user may not write there",
  EPERM: "this user may not write there",
  EEXIST: "a file of that name is there already",
  ENOTEMPTY: "another run has filled it meanwhile",
  ENAMETOOLONG: "the name is too long",
};
