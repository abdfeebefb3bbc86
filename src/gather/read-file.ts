import { createHash } from "node:crypto";
import { open } from "node:fs/promises";
import { errorCode, isTooManyOpen } from "../errors.js";
import type { Unreadable } from "../types/folder.js";
import { COPY_AGAIN, SAVE_COPY, TAKE_OUT, UnreadablePhoto } from "./errors.js";
import { type FilePath, pathLike } from "./folder.js";

/** Largest file that is read, MiB: a 200-megapixel picture stored without packing takes 573. */
export const MAX_FILE_MIB = 640;

/** A file's bytes and their SHA-256 hash, hex. */
export interface FileBytes {
  /** Only until this thread reads another file. */
  readonly bytes: Uint8Array;
  readonly contentHash: string;
}

/**
 * Reads a photo's file whole and hashes it. A file that another program is still writing is refused, since half
 * of it would be judged.
 * @throws UnreadablePhoto where the file is gone, closed to us, too large, or changed while it was read
 */
export async function readPhotoFile(path: FilePath): Promise<FileBytes> {
  try {
    return await readUnchanged(path);
  } catch (error) {
    // The latter is no fault of the photo's.
    if (error instanceof UnreadablePhoto || isTooManyOpen(error)) throw error;
    throw new UnreadablePhoto(unreadableFor(errorCode(error)));
  }
}

let reading: Promise<unknown> = Promise.resolve();

/** The same where several photos are worked on in one thread: one file is read at a time, and its bytes are the caller's own. */
export function readPhotoFileToKeep(path: FilePath): Promise<FileBytes> {
  const mine = reading.then(async () => {
    const { bytes, contentHash } = await readPhotoFile(path);
    return { bytes: bytes.slice(), contentHash };
  });
  reading = mine.catch(() => {});
  return mine;
}

async function readUnchanged(path: FilePath): Promise<FileBytes> {
  const handle = await open(pathLike(path));
  try {
    const before = await handle.stat();
    if (!before.isFile()) throw new UnreadablePhoto({ reason: "it is not a file", wayOut: TAKE_OUT });
    if (before.size > MAX_FILE_MIB * 2 ** 20) {
      throw new UnreadablePhoto({
        reason: `it is larger than the ${MAX_FILE_MIB} MiB read here`,
        wayOut: SAVE_COPY,
      });
    }
    const bytes = await readExactly(handle, before.size);
    const after = await handle.stat();
    if (bytes.length !== before.size || after.size !== before.size || after.mtimeMs !== before.mtimeMs) {
      throw new UnreadablePhoto({
        reason: "the file changed while it was read",
        wayOut: "wait until copying has ended, then run again",
      });
    }
    return { bytes, contentHash: createHash("sha256").update(bytes).digest("hex") };
  } finally {
    await handle.close();
  }
}

/** Arena for a file, kept between files: megabytes for each would have to be cleared and collected. */
let buffer = new Uint8Array(0);
/** A larger buffer is given back: photos of a phone are under it, raw ones may be over. */
const MOST_KEPT = 16 * 2 ** 20;

/** At most `size` bytes: a file that grows for ever is not followed. */
async function readExactly(handle: Awaited<ReturnType<typeof open>>, size: number): Promise<Uint8Array> {
  const bytes = size <= buffer.length ? buffer : new Uint8Array(size);
  if (size <= MOST_KEPT) buffer = bytes;
  let filled = 0;
  while (filled < size) {
    const { bytesRead } = await handle.read(bytes, filled, size - filled, filled);
    if (bytesRead === 0) break;
    filled += bytesRead;
  }
  return bytes.subarray(0, filled);
}

function unreadableFor(code: string | undefined): Unreadable {
  switch (code) {
    case "ENOENT":
      return { reason: "the file is no longer there, or is a link to nothing", wayOut: COPY_AGAIN };
    case "EACCES":
    case "EPERM":
      return { reason: "this user may not read it", wayOut: "change its permissions" };
    case "ELOOP":
      return { reason: "it is a link that leads back to itself", wayOut: TAKE_OUT };
    case "EIO":
    case "ENXIO":
    case "ENODEV":
      return { reason: "the disk or card failed while it was read", wayOut: COPY_AGAIN };
    default:
      return { reason: `it cannot be read (${code ?? "unknown error"})`, wayOut: COPY_AGAIN };
  }
}
