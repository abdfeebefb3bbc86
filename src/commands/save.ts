import { access, constants, open, rename, stat, unlink } from "node:fs/promises";
import { dirname, join } from "node:path";
import { errorCode } from "../errors.js";
import { CommandError, fileReason } from "./errors.js";

/** A kind of file that is written where the user says. */
export interface Saved {
  /** What stands before its name: "after --save". */
  readonly where: string;
  /** In a sentence: "report". */
  readonly what: string;
  /** How one that this program wrote begins: only such a file is ever replaced. */
  readonly begins: RegExp;
}

export const SAVED_REPORT: Saved = {
  where: "after --save",
  what: "report",
  begins: /^\s*\{\s*"schemaVersion"\s*:\s*\d+\s*,\s*"tool"\s*:\s*\{\s*"name"\s*:\s*"goodgate"/,
};

export const SAVED_PAGE: Saved = {
  where: "for the page",
  what: "page",
  begins:
    /^<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<meta name="generator" content="goodgate /,
};

/**
 * Whether a file may be saved there, asked before the work starts: nothing is there yet, or `force` is given
 * and one of its kind saved before is.
 * @throws CommandError where not
 */
export async function checkSavePath(path: string, force: boolean, saved = SAVED_REPORT): Promise<void> {
  const wanted = `a new file ${saved.where}`;
  const found = await kindAt(path);
  if (found === "nothing") {
    const folder = await kindAt(dirname(path));
    if (folder !== "folder")
      throw new CommandError(
        wanted,
        `there is no folder ${JSON.stringify(dirname(path))}`,
        "make that folder first, or name another",
      );
    await access(dirname(path), constants.W_OK).catch((error) => {
      throw refusedToSave(path, error, saved);
    });
    return;
  }
  if (found !== "file")
    throw new CommandError(
      wanted,
      `${JSON.stringify(path)} is ${found === "folder" ? "a folder" : "no plain file"}`,
      "name a file",
    );
  if (!force) {
    // --force is offered only where it would help.
    const way = (await isOurs(path, saved)) ? "name another, or add --force to replace it" : "name another";
    throw new CommandError(wanted, `${JSON.stringify(path)} exists`, way);
  }
  if (!(await isOurs(path, saved)))
    throw new CommandError(
      `a ${saved.what} saved before to replace with --force`,
      `${JSON.stringify(path)} is something else`,
      "name another file",
    );
}

/**
 * Writes a file whole or not at all: under a temporary name beside it first, then renamed. `signal` and any
 * failure leave nothing behind.
 * @throws CommandError where the file system refuses
 */
export async function saveWhole(
  path: string,
  text: string,
  options: { readonly force: boolean; readonly signal?: AbortSignal; readonly saved?: Saved },
): Promise<void> {
  const { saved = SAVED_REPORT } = options;
  // Not made of its name, which may be as long as names can be.
  const temporary = join(dirname(path), `.goodgate-${process.pid}.part`);
  try {
    const file = await open(temporary, "wx");
    try {
      await file.writeFile(text, { encoding: "utf8", ...(options.signal && { signal: options.signal }) });
      await file.sync();
    } finally {
      await file.close();
    }
    options.signal?.throwIfAborted();
    // Another run may have saved there while this one worked.
    await checkSavePath(path, options.force, saved);
    await rename(temporary, path);
  } catch (error) {
    // A file already there under the temporary name is not ours to remove.
    if (errorCode(error) !== "EEXIST") await unlink(temporary).catch(() => {});
    if (error instanceof CommandError || options.signal?.aborted) throw error;
    throw refusedToSave(path, error, saved);
  }
}

function refusedToSave(path: string, error: unknown, { what, where }: Saved): CommandError {
  return new CommandError(
    `to save the ${what} as ${JSON.stringify(path)}`,
    fileReason(error),
    `name another place ${where}`,
  );
}

async function kindAt(path: string): Promise<"nothing" | "file" | "folder" | "other"> {
  try {
    const found = await stat(path);
    return found.isFile() ? "file" : found.isDirectory() ? "folder" : "other";
  } catch (error) {
    if (errorCode(error) === "ENOENT") return "nothing";
    throw new CommandError(`to look at ${JSON.stringify(path)}`, fileReason(error), "name another place");
  }
}

const HEAD_BYTES = 1024;

/** So that a slip of the hand never replaces a photo, or another program's file. */
async function isOurs(path: string, { begins }: Saved): Promise<boolean> {
  try {
    const file = await open(path);
    try {
      const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
      return begins.test(buffer.toString("utf8", 0, bytesRead));
    } finally {
      await file.close();
    }
  } catch (error) {
    throw new CommandError(`to look at ${JSON.stringify(path)}`, fileReason(error), "name another file");
  }
}
