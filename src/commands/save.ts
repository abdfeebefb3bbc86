import { access, constants, open, rename, stat, unlink } from "node:fs/promises";
import { dirname, join } from "node:path";
import { errorCode } from "../errors.js";
import { CommandError, fileReason } from "./errors.js";

/**
 * Whether a report may be saved there, asked before the work starts: nothing is there yet, or `force` is given
 * and a report saved before is.
 * @throws CommandError where not
 */
export async function checkSavePath(path: string, force: boolean): Promise<void> {
  const wanted = "a new file after --save";
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
      throw refusedToSave(path, error);
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
    const way = (await looksLikeReport(path)) ? "name another, or add --force to replace it" : "name another";
    throw new CommandError(wanted, `${JSON.stringify(path)} exists`, way);
  }
  if (!(await looksLikeReport(path)))
    throw new CommandError(
      "a report saved before to replace with --force",
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
  options: { readonly force: boolean; readonly signal?: AbortSignal },
): Promise<void> {
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
    await checkSavePath(path, options.force);
    await rename(temporary, path);
  } catch (error) {
    // A file already there under the temporary name is not ours to remove.
    if (errorCode(error) !== "EEXIST") await unlink(temporary).catch(() => {});
    if (error instanceof CommandError || options.signal?.aborted) throw error;
    throw refusedToSave(path, error);
  }
}

function refusedToSave(path: string, error: unknown): CommandError {
  return new CommandError(
    `to save the report as ${JSON.stringify(path)}`,
    fileReason(error),
    "name another place after --save",
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

/** How a report of this program begins. */
const REPORT = /^\s*\{\s*"schemaVersion"\s*:\s*\d+\s*,\s*"tool"\s*:\s*\{\s*"name"\s*:\s*"goodgate"/;
const HEAD_BYTES = 1024;

/** So that a slip of the hand after --save never replaces a photo, or another program's file. */
async function looksLikeReport(path: string): Promise<boolean> {
  try {
    const file = await open(path);
    try {
      const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
      return REPORT.test(buffer.toString("utf8", 0, bytesRead));
    } finally {
      await file.close();
    }
  } catch (error) {
    throw new CommandError(`to look at ${JSON.stringify(path)}`, fileReason(error), "name another file");
  }
}
