import type { CheckOptions } from "./commands/check.js";
import type { DemoOptions } from "./commands/demo.js";
import type { Dependencies } from "./commands/dependencies.js";
import { CommandError, isExplained } from "./commands/errors.js";
import {
  type CommandHelp,
  type CommandName,
  commandNames,
  commands,
  renderCommandHelp,
  renderHelp,
} from "./commands/help.js";
import { type ExitCode, type Io, noVerdictCode, passCode } from "./commands/io.js";
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
    const help = helpFor(argv);
    if (help !== undefined) {
      await io.stdout.write(help);
      return passCode;
    }
    if (argv.length === 0) {
      await io.stderr.write(renderHelp());
      return noVerdictCode;
    }
    const run = await parse(argv);
    const { dependencies } = await import("./commands/dependencies.js");
    return await run(io, { ...dependencies, ...given });
  } catch (error) {
    await io.stderr.write(await errorText(error, argv.includes("--debug"))).catch(() => {});
    return noVerdictCode;
  }
}

type Run = (io: Io, dependencies: Dependencies) => Promise<ExitCode>;

/** What --help, --version or `help` prints, found without loading a parser; undefined for anything else. */
function helpFor(argv: readonly string[]): string | undefined {
  const [first, second] = argv;
  const end = argv.indexOf("--");
  const typed = end === -1 ? argv : argv.slice(0, end);
  const named = first === "help" ? second : first;
  if (first === "help" || typed.includes("--help") || typed.includes("-h"))
    return isCommand(named) ? renderCommandHelp(commands[named]) : renderHelp();
  return first === "--version" || first === "-V" ? `${toolName} ${toolVersion()}\n` : undefined;
}

function isCommand(name: string | undefined): name is CommandName {
  return (commandNames as readonly (string | undefined)[]).includes(name);
}

/** The command a line asks for, its options still as typed. */
async function parse(argv: readonly string[]): Promise<Run> {
  const { Command, CommanderError } = await import("commander");
  let run: Run | undefined;
  const program = new Command(toolName).exitOverride().helpOption(false).helpCommand(false);
  program.configureOutput({ writeOut: () => {}, writeErr: () => {} }).showSuggestionAfterError(false);
  const add = <Argument, Options extends object>(
    help: CommandHelp,
    start: (argument: Argument, options: Options) => Run,
  ) => {
    const command = program.command(help.name).argument(help.argument).helpOption(false);
    for (const { flags, text } of help.options) command.option(flags, text);
    command.action((argument: Argument, options: Options) => {
      refuseOptionsAsFiles(options);
      run = start(argument, options);
    });
  };
  add(commands.check, (folder: string, options: CheckOptions) => async (io, dependencies) => {
    const { check } = await import("./commands/check.js");
    return check(folder, options, io, dependencies);
  });
  add(commands.demo, (folder: string, options: DemoOptions) => async (io, dependencies) => {
    const { demo } = await import("./commands/demo.js");
    return demo(folder, options, io, dependencies);
  });
  add(commands.checks, (id: string | undefined) => async (io, dependencies) => {
    const { checks } = await import("./commands/checks.js");
    return checks(id, io, dependencies);
  });
  try {
    program.parse(argv, { from: "user" });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    const { parseError } = await import("./commands/parse-error.js");
    throw parseError(error, argv);
  }
  if (run === undefined) throw new CommandError("a command", "found none", "see goodgate --help");
  return run;
}

/**
 * `--save --force` would otherwise save to a file named "--force". Options that take a number say themselves what they
 * make of "-1".
 */
function refuseOptionsAsFiles({ save, limits }: { readonly save?: string; readonly limits?: string }): void {
  for (const [option, file] of Object.entries({ "--save": save, "--limits": limits })) {
    if (file?.startsWith("-"))
      throw new CommandError(
        `a file after ${option}`,
        `found ${JSON.stringify(file)}`,
        `a file of that name is written ./${file}`,
      );
  }
}

async function errorText(error: unknown, debug: boolean): Promise<string> {
  const { visible } = await import("./report/text.js");
  const message = error instanceof Error ? error.message : String(error);
  const told = isExplained(error)
    ? visible(message)
    : `A fault of the program, not of the photos: ${visible(message)}. ${debug ? "" : "Run again with --debug to see where."}`;
  const stack = debug && error instanceof Error ? `\n${error.stack ?? ""}` : "";
  return `${toolName}: ${told.trimEnd()}${stack}\n`;
}
