import { constants } from "node:fs";
import { open } from "node:fs/promises";
import { CommandError, fileReason } from "./errors.js";

/** A file that a command reads whole. */
export interface WantedFile {
  /** What is expected: "a report saved with --save". */
  readonly what: string;
  /** What to do where the file will not do: "name a report". */
  readonly remedy: string;
  /** Largest size that is read, MiB. */
  readonly mostMib: number;
}

/**
 * The text of a plain file of bounded size.
 * @throws CommandError where it is no plain file, too large or cannot be read
 */
export async function readPlainFile(path: string, { what, remedy, mostMib }: WantedFile): Promise<string> {
  const refused = (why: string) => new CommandError(what, `${JSON.stringify(path)} ${why}`, remedy);
  try {
    // A pipe is not waited for.
    const file = await open(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
    try {
      const found = await file.stat();
      if (!found.isFile()) throw refused("is no plain file");
      if (found.size > mostMib * 2 ** 20) throw refused(`is larger than ${mostMib} MiB`);
      return await file.readFile("utf8");
    } finally {
      await file.close();
    }
  } catch (error) {
    if (error instanceof CommandError) throw error;
    throw refused(`cannot be read (${fileReason(error)})`);
  }
}
