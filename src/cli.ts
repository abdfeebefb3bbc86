import { readFile } from "node:fs/promises";
import type { Dependencies } from "./commands/dependencies.js";
import { CommandError, isExplained } from "./commands/errors.js";
import { type ExitCode, type Io, noVerdictCode, passCode } from "./commands/io.js";
import { visible } from "./controls.js";
import { isTooManyOpen, TOO_MANY_OPEN } from "./errors.js";
import { toolName, toolVersion } from "./version.js";

export type { Io, Output } from "./commands/io.js";
export { processIo } from "./commands/process-io.js";

/**
 * Runs one command line, without the program's own name, and returns its exit code: 0 pass, 1 reshoot,
 * 2 could not judge. Never throws; what goes wrong is said on stderr.
 */
export async function main(
  argv: readonly string[],
  io: Io,
  given: Partial<Dependencies> = {},
): Promise<ExitCode> {
  try {
    const help = await builtHelp(argv);
    if (help !== undefined) {
      await io.stdout.write(help);
      return passCode;
    }
    const { parse } = await import("./commands/program.js");
    const line = parse(argv);
    if (typeof line !== "function") {
      await io.stdout.write(line.out);
      await io.stderr.write(line.err);
      return line.asked ? passCode : noVerdictCode;
    }
    const { dependencies } = await import("./commands/dependencies.js");
    return await line(io, { ...dependencies, ...given });
  } catch (error) {
    await io.stderr.write(errorText(error, argv.includes("--debug"))).catch(() => {});
    return noVerdictCode;
  }
}

/**
 * What --help and --version print, where a line asks for nothing else. The parser wrote these texts when the program was
 * built (scripts/write-help.mjs): loading it takes a third of the time that Node itself takes to start.
 */
async function builtHelp(argv: readonly string[]): Promise<string | undefined> {
  const line = argv.join(" ");
  if (line === "--version" || line === "-V") return `${toolName} ${toolVersion()}\n`;
  const [, command] = /^([a-z]+) (?:--help|-h)$/.exec(line) ?? /^help ([a-z]+)$/.exec(line) ?? [];
  const name = /^(?:--help|-h|help)$/.test(line) ? toolName : command;
  if (name === undefined) return undefined;
  return readFile(new URL(`./help/${name}.txt`, import.meta.url), "utf8").catch(() => undefined);
}

function errorText(thrown: unknown, debug: boolean): string {
  const error = isTooManyOpen(thrown) ? new CommandError(...TOO_MANY_OPEN) : thrown;
  const message = error instanceof Error ? error.message : String(error);
  const sentence = isExplained(error)
    ? visible(message)
    : `A fault of the program, not of the photos: ${visible(message)}. ${debug ? "" : "Run again with --debug to see where."}`;
  const stack = debug && error instanceof Error ? `\n${error.stack ?? ""}` : "";
  return `${toolName}: ${sentence.trimEnd()}${stack}\n`;
}
