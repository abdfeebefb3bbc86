import { createHash, randomBytes } from "node:crypto";
import {
  closeSync,
  constants,
  existsSync,
  fstatSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  openSync,
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
import { OWNER } from "./owner.js";
import { cacheFolder, ownFolder } from "./place.js";

/** Where a run keeps what it measured; to be posted to a thread. */
export interface StorePlace {
  /** undefined: nowhere can be written, and nothing is stored. */
  readonly folder: string | undefined;
  /** Whether the folder outlives the run. */
  readonly lasting: boolean;
}

/**
 * Where this run keeps what it measures: the user's cache folder, or where there is to be no cache, or it cannot be
 * written or trusted, a folder of its own that goes with the run. Only memory is saved by the latter: threads hand over
 * through it what is too much to hold.
 *
 * @param onUnused is handed, in a sentence, why the cache folder is not used, though it was asked for
 */
export function chooseStore(cache: boolean, onUnused?: (why: string) => void): StorePlace {
  if (cache) {
    const found = ownFolder(cacheFolder());
    if ("folder" in found) return { folder: found.folder, lasting: true };
    onUnused?.(found.why);
  }
  try {
    return { folder: mkdtempSync(join(tmpdir(), `goodgate-${OWNER}-`)), lasting: false };
  } catch {
    return { folder: undefined, lasting: false };
  }
}

/** Takes away what does not outlive the run. */
export function leaveStore({ folder, lasting }: StorePlace): void {
  if (folder !== undefined && !lasting) rmSync(folder, { recursive: true, force: true });
}

/** Opens no link and waits for no pipe; 0 where the system has no such thing. */
const PLAIN_FILES = (constants.O_NOFOLLOW ?? 0) | (constants.O_NONBLOCK ?? 0);

interface Entry {
  /** SHA-256 of what it is stored under. */
  readonly key: Buffer;
  readonly path: string;
}

/**
 * Values in files under a folder, each named by the hash of its key, which holds the content hashes it was made of, and
 * of the program that made it. Files are written whole under another name and then renamed, so that two runs at once, or
 * one that is cut short, leave no half of one. A damaged one, one under another's name, a link or a pipe is as good as
 * none.
 */
export class Store {
  readonly #folder: string | undefined;
  readonly #lasting: boolean;
  /** Folders inside that were seen to be such, and no links. */
  readonly #shelves = new Set<string>();

  constructor({ folder, lasting }: StorePlace) {
    this.#folder = folder;
    this.#lasting = lasting;
  }

  /**
   * Something another run, or another thread, stored; undefined where there is none, or it cannot be trusted.
   * @param kind small letters; ends the file's name
   */
  read(kind: string, key: readonly unknown[]): unknown {
    const entry = this.#entry(kind, key);
    if (entry === undefined) return undefined;
    try {
      const value = unbox(entry.key, this.#bytes(entry.path));
      if (this.#lasting) markUsed(entry.path);
      return value;
    } catch {
      return undefined;
    }
  }

  /** Whether it was stored and will be asked for: pruning spares it for this run. */
  has(kind: string, key: readonly unknown[]): boolean {
    const entry = this.#entry(kind, key);
    if (entry === undefined || !existsSync(entry.path)) return false;
    if (this.#lasting) markUsed(entry.path);
    return true;
  }

  /** @returns whether it was stored; not where the disk is full or closed */
  write(kind: string, key: readonly unknown[], value: unknown): boolean {
    const entry = this.#entry(kind, key);
    if (entry === undefined) return false;
    const unfinished = `${entry.path}.${OWNER}-${randomBytes(4).toString("hex")}`;
    try {
      this.#openShelf(dirname(entry.path), true);
      writeFileSync(unfinished, box(entry.key, value), { mode: 0o600, flag: "wx" });
      renameSync(unfinished, entry.path);
      return true;
    } catch {
      discard(unfinished);
      return false;
    }
  }

  #bytes(path: string): Buffer {
    this.#openShelf(dirname(path), false);
    const file = openSync(path, constants.O_RDONLY | PLAIN_FILES);
    try {
      if (!fstatSync(file).isFile()) throw new Error("no plain file");
      return readFileSync(file);
    } finally {
      closeSync(file);
    }
  }

  /** @throws Error where the folder is not there and may not be made, or is a link */
  #openShelf(path: string, make: boolean): void {
    if (this.#shelves.has(path)) return;
    if (make && !existsSync(path)) {
      try {
        mkdirSync(path, { mode: 0o700 });
      } catch (error) {
        // Another thread may have been first.
        if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw error;
      }
    }
    if (!lstatSync(path).isDirectory()) throw new Error("no folder");
    this.#shelves.add(path);
  }

  #entry(kind: string, key: readonly unknown[]): Entry | undefined {
    if (this.#folder === undefined) return undefined;
    const hash = createHash("sha256")
      .update(JSON.stringify([buildId(), kind, ...key]))
      .digest();
    const name = hash.toString("hex");
    return { key: hash, path: join(this.#folder, name.slice(0, 2), `${name.slice(2)}.${kind}`) };
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
