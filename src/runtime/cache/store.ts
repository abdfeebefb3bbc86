import { createHash, randomBytes } from "node:crypto";
import {
  accessSync,
  constants,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { buildId } from "../../version.js";
import { box, unbox } from "./box.js";
import { cacheFolder } from "./place.js";

/** Where a run keeps what it measured; to be posted to a thread. */
export interface StorePlace {
  /** undefined: nowhere can be written, and nothing is kept. */
  readonly folder: string | undefined;
  /** Whether the folder outlives the run. */
  readonly lasting: boolean;
}

/**
 * Where this run keeps what it measures: the user's cache folder, or where there is to be no cache, or it cannot be
 * written, a folder of its own that goes with the run. Only memory is saved by the latter: threads hand over through it what
 * is too much to hold.
 */
export function chooseStore(cache: boolean): StorePlace {
  if (cache) {
    try {
      const folder = cacheFolder();
      mkdirSync(folder, { recursive: true, mode: 0o700 });
      accessSync(folder, constants.W_OK);
      return { folder, lasting: true };
    } catch {
      // Below.
    }
  }
  try {
    return { folder: mkdtempSync(join(tmpdir(), "goodgate-")), lasting: false };
  } catch {
    return { folder: undefined, lasting: false };
  }
}

/** Takes away what does not outlive the run. */
export function leaveStore({ folder, lasting }: StorePlace): void {
  if (folder !== undefined && !lasting) rmSync(folder, { recursive: true, force: true });
}

/**
 * Values in files under a folder, each named by the hash of its key, which holds the content hashes it was made of, and
 * of the program that made it. Files are written whole under another name and then renamed, so that two runs at once, or
 * one that is cut short, leave no half of one; a damaged one is as good as none.
 */
export class Store {
  readonly #folder: string | undefined;
  readonly #lasting: boolean;

  constructor({ folder, lasting }: StorePlace) {
    this.#folder = folder;
    this.#lasting = lasting;
  }

  /** Something another run, or another thread, kept; undefined where there is none, or it is damaged. @param kind small letters; ends the file's name */
  read(kind: string, key: readonly unknown[]): unknown {
    const path = this.#path(kind, key);
    if (path === undefined) return undefined;
    try {
      const value = unbox(readFileSync(path));
      if (this.#lasting) markUsed(path);
      return value;
    } catch {
      return undefined;
    }
  }

  /** Whether it was kept and will be asked for: pruning spares it for this run. */
  has(kind: string, key: readonly unknown[]): boolean {
    const path = this.#path(kind, key);
    if (path === undefined || !existsSync(path)) return false;
    if (this.#lasting) markUsed(path);
    return true;
  }

  /** @returns whether it was kept; not where the disk is full or closed */
  write(kind: string, key: readonly unknown[], value: unknown): boolean {
    const path = this.#path(kind, key);
    if (path === undefined) return false;
    const unfinished = `${path}.${process.pid}-${randomBytes(4).toString("hex")}`;
    try {
      mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
      writeFileSync(unfinished, box(value), { mode: 0o600 });
      renameSync(unfinished, path);
      return true;
    } catch {
      discard(unfinished);
      return false;
    }
  }

  #path(kind: string, key: readonly unknown[]): string | undefined {
    if (this.#folder === undefined) return undefined;
    const name = createHash("sha256")
      .update(JSON.stringify([buildId(), kind, ...key]))
      .digest("hex");
    return join(this.#folder, name.slice(0, 2), `${name.slice(2)}.${kind}`);
  }
}

/** Pruning takes away first what was longest not used. */
function markUsed(path: string): void {
  try {
    const now = new Date();
    utimesSync(path, now, now);
  } catch {
    // A cache that can only be read is of use all the same.
  }
}

function discard(path: string): void {
  try {
    rmSync(path, { force: true });
  } catch {
    // Where it could not be written, there is nothing to take away.
  }
}
