import { readdir } from "node:fs/promises";
import { visible } from "../controls.js";
import { errorCode } from "../errors.js";
import { count } from "../report/wording.js";
import type { Dependencies } from "./dependencies.js";
import { CommandError, fileReason } from "./errors.js";
import { type ExitCode, type Io, passCode } from "./io.js";
import { ProgressLine } from "./progress.js";
import { shellWord } from "./shell.js";
import { untilStopped } from "./stop.js";

/** The options as the parser reads them. */
export interface DemoOptions {
  readonly seed?: number;
  readonly clean?: boolean;
  readonly jobs?: number;
}

/** `goodgate demo FOLDER`. */
export async function demo(
  folder: string,
  options: DemoOptions,
  io: Io,
  { renderDemo, now }: Dependencies,
): Promise<ExitCode> {
  const { seed, jobs } = options;
  await requireEmpty(folder);

  const progress = new ProgressLine(io.stderr, now);
  return untilStopped<ExitCode>(io, async (signal) => {
    let photos: number;
    try {
      photos = await renderDemo(folder, {
        clean: options.clean === true,
        signal,
        onProgress: (done, of) => progress.show({ stage: "rendering", done, of }),
        ...(seed !== undefined && { seed }),
        ...(jobs !== undefined && { jobs }),
      });
    } catch (error) {
      throw errorCode(error) === undefined ? error : notWritten(folder, error);
    } finally {
      progress.clear();
    }
    await io.stdout.write(
      `${count(photos, "photo")} and the list of what is wrong with them (truth.json) are in ${visible(JSON.stringify(folder))}.\nNext: ${io.program} check ${visible(shellWord(folder))}\n`,
    );
    return passCode;
  });
}

/** @throws CommandError where the folder holds anything, or is a file */
async function requireEmpty(folder: string): Promise<void> {
  const wanted = "an empty or new folder";
  const name = JSON.stringify(folder);
  let names: string[];
  try {
    names = await readdir(folder);
  } catch (error) {
    if (errorCode(error) === "ENOENT") return;
    throw new CommandError(wanted, `${name} is none (${fileReason(error)})`, "name another");
  }
  if (names.length > 0)
    throw new CommandError(wanted, `${name} holds ${count(names.length, "file")}`, "name another");
}

function notWritten(folder: string, error: unknown): CommandError {
  return new CommandError(
    `to write a set into ${JSON.stringify(folder)}`,
    fileReason(error),
    "name another place, or make room",
  );
}
