import { mkdir, readdir, rm } from "node:fs/promises";
import { join } from "node:path";
import { count } from "../report/wording.js";
import { mostJobs } from "./check.js";
import type { Dependencies } from "./dependencies.js";
import { CommandError, errorCode, fileReason } from "./errors.js";
import { type ExitCode, type Io, passCode } from "./io.js";
import { wholeNumber } from "./numbers.js";
import { ProgressLine } from "./progress.js";
import { untilStopped } from "./stop.js";

/** The options as typed. */
export interface DemoOptions {
  readonly seed?: string;
  readonly clean?: boolean;
  readonly jobs?: string;
}

const highestSeed = 2 ** 32 - 1;

/** `goodgate demo FOLDER`. */
export async function demo(
  folder: string,
  options: DemoOptions,
  io: Io,
  { renderDemo, now }: Dependencies,
): Promise<ExitCode> {
  const jobs = options.jobs === undefined ? undefined : wholeNumber("--jobs", options.jobs, 1, mostJobs);
  const seed = options.seed === undefined ? undefined : wholeNumber("--seed", options.seed, 0, highestSeed);
  const made = await makeEmptyFolder(folder);

  const progress = new ProgressLine(io.stderr, now);
  return untilStopped<ExitCode>(io, async (signal) => {
    try {
      const photos = await renderDemo(folder, {
        clean: options.clean === true,
        signal,
        onProgress: (done, of) => progress.show({ stage: "rendering", done, of }),
        ...(seed !== undefined && { seed }),
        ...(jobs !== undefined && { jobs }),
      });
      progress.clear();
      await io.stdout.write(
        `${count(photos, "photo")} and the list of what is wrong with them (truth.json) are in ${JSON.stringify(folder)}.\nNext: goodgate check ${shellWord(folder)}\n`,
      );
      return passCode;
    } catch (error) {
      progress.clear();
      await emptyAgain(folder, made);
      throw error;
    }
  });
}

/** Makes the folder where it is missing; returns whether it did. */
async function makeEmptyFolder(folder: string): Promise<boolean> {
  const wanted = "an empty or new folder";
  try {
    const names = await readdir(folder);
    if (names.length === 0) return false;
    throw new CommandError(
      wanted,
      `${JSON.stringify(folder)} holds ${count(names.length, "file")}`,
      "name another",
    );
  } catch (error) {
    if (error instanceof CommandError) throw error;
    if (errorCode(error) !== "ENOENT")
      throw new CommandError(
        wanted,
        `${JSON.stringify(folder)} is none: ${fileReason(error)}`,
        "name another",
      );
  }
  try {
    await mkdir(folder, { recursive: true });
    return true;
  } catch (error) {
    throw new CommandError(
      wanted,
      `${JSON.stringify(folder)} cannot be made (${fileReason(error)})`,
      "name another place",
    );
  }
}

/** Half a set is worth nothing: the folder was empty when the work began, so what lies in it is ours. */
async function emptyAgain(folder: string, made: boolean): Promise<void> {
  if (made) return rm(folder, { recursive: true, force: true });
  const names = await readdir(folder).catch(() => []);
  await Promise.all(names.map((name) => rm(join(folder, name), { recursive: true, force: true })));
}

/** A path as a shell reads it back whole. */
function shellWord(path: string): string {
  return /^[\w./-]+$/.test(path) ? path : `'${path.replaceAll("'", "'\\''")}'`;
}
