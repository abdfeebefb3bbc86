import { Command, CommanderError, InvalidArgumentError } from "commander";
import { visible } from "../controls.js";
import { toolName, toolVersion } from "../version.js";
import type { CheckOptions } from "./check.js";
import type { DemoOptions } from "./demo.js";
import type { Dependencies } from "./dependencies.js";
import type { ExitCode, Io } from "./io.js";
import type { PageOptions } from "./page.js";
import type { ReadyCommandOptions } from "./ready.js";

/** What a command line asks for, ready to start. */
export type Run = (io: Io, dependencies: Dependencies) => Promise<ExitCode>;

/** What the parser itself answers: help, the version, or what is wrong with the line. */
export interface Answer {
  readonly out: string;
  readonly err: string;
  /** Whether the line asked for nothing else. */
  readonly asked: boolean;
}

/** @param argv the line without the program's own name */
export function parse(argv: readonly string[]): Run | Answer {
  let run: Run | undefined;
  const written = { out: "", err: "" };
  const program = defineProgram(
    (started) => {
      run = started;
    },
    (stream, text) => {
      written[stream] += text;
    },
  );
  try {
    program.parse(argv, { from: "user" });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    return { ...written, asked: error.exitCode === 0 };
  }
  return run ?? { ...written, asked: false };
}

/** Columns that help is written for, on every screen: it is rendered once, when the program is built. */
const HELP_WIDTH = 80;

/** All that can be typed. The parser, the help and the words of its errors come from it. */
export function defineProgram(
  start: (run: Run) => void,
  write: (stream: "out" | "err", text: string) => void,
): Command {
  const program = new Command(toolName)
    .exitOverride()
    .configureHelp({
      subcommandTerm: (command) => `${command.name()} ${command.usage().replace("[options] ", "")}`.trim(),
    })
    .configureOutput({
      writeOut: (text) => write("out", text),
      writeErr: (text) => write("err", text),
      getOutHelpWidth: () => HELP_WIDTH,
      getErrHelpWidth: () => HELP_WIDTH,
      getOutHasColors: () => false,
      getErrHasColors: () => false,
      outputError: (text, writeErr) => {
        const lines = text.replace(/^error: /, `${toolName}: `).split("\n");
        writeErr(lines.map(visible).join("\n"));
      },
    })
    .description("Judges a folder of photos taken all around a prop, while the set stands.")
    .version(`${toolName} ${toolVersion()}`, "-V, --version", "print the version")
    .helpOption("-h, --help", "print this; after a command: its options")
    .helpCommand("help [COMMAND]", "print how to use a command")
    .showHelpAfterError(`Photos are judged by ${toolName} check FOLDER; see ${toolName} --help.`)
    .addHelpText(
      "after",
      `
Exit code: 0 pass, 1 something to do first, 2 could not judge.
Photos are only read, and nothing leaves this machine.`,
    );

  const command = (name: string, summary: string) =>
    program
      .command(name)
      .description(summary)
      .helpOption("-h, --help", "print this")
      .showHelpAfterError(`See ${toolName} ${name} --help. A name with spaces goes in quotes.`);
  const jobs = [
    "--jobs <N>",
    "work on N photos at a time (default: one for each core)",
    wholeNumber(1, 256, 4),
  ] as const;
  const debug = ["--debug", "show where in the program an error arose"] as const;

  command("check", "Judge photos: pass, or which to take again and why.")
    .argument("<FOLDER>")
    .option("--recursive", "look into the folders inside as well")
    .option("--json", "print the report as one JSON document")
    .option("--save <FILE>", "write the JSON report to FILE as well", fileName)
    .option("--page <FILE>", "write the report as a page with pictures to FILE as well", fileName)
    .option("--force", "let --save and --page replace what they saved before")
    .option(
      "--limits <FILE>",
      'judge by your own limits: a JSON file such as {"soft-photo": {"blur": 1}}',
      fileName,
    )
    .option(
      "--at-most <N>",
      "say so when the upload takes N photos and there are more",
      wholeNumber(1, 1_000_000, 100),
    )
    .option(
      "--span <DEGREES>",
      "how much of the way round is wanted (default: 360, all round)",
      wholeNumber(1, 360, 180),
    )
    .option("--strict", "fail the set for photos that need editing, too")
    .option("--all", "print all findings with what was measured, the camera's places and every photo")
    .option("--quiet", "print the verdict, then one line a photo or gap: what to do, file, reason")
    .option(...jobs)
    .option("--no-cache", "measure every photo afresh, and keep nothing")
    .option(...debug)
    .action((folder: string, options: CheckOptions) =>
      start(async (io, dependencies) => {
        const { check } = await import("./check.js");
        return check(folder, options, io, dependencies);
      }),
    );

  command("ready", "Copy what should be uploaded into a new folder.")
    .argument("<FOLDER>")
    .argument("<NEW-FOLDER>")
    .option("--most <N>", "choose the best N photos", wholeNumber(1, 1_000_000, 100))
    .option(
      "--most-mb <N>",
      "choose the best photos that have N megabytes together",
      wholeNumber(1, 1_000_000, 500),
    )
    .option("--level", "put right the light and colour of photos that are off")
    .option("--long-edge <PX>", "make larger photos smaller, to PX pixels", wholeNumber(256, 100_000, 4096))
    .option("--jpeg", "write HEIC and TIFF photos as JPEG")
    .option("--keep-private", "leave places, serial numbers, names and maker notes in")
    .option("--anyway", "copy what is good even where the set is not ready")
    .option("--dry-run", "say what would be done, and write nothing")
    .option("--json", "print what was done as one JSON document")
    .option("--recursive", "look into the folders inside as well")
    .option("--limits <FILE>", "judge by your own limits: a JSON file", fileName)
    .option(
      "--span <DEGREES>",
      "how much of the way round is wanted (default: 360)",
      wholeNumber(1, 360, 180),
    )
    .option(...jobs)
    .option("--no-cache", "measure every photo afresh, and keep nothing")
    .option(...debug)
    .action((folder: string, target: string, options: ReadyCommandOptions) =>
      start(async (io, dependencies) => {
        const { ready } = await import("./ready.js");
        return ready(folder, target, options, io, dependencies);
      }),
    );

  command("page", "Make a page with pictures of a saved report and the photos.")
    .argument("<REPORT>")
    .argument("<FOLDER>")
    .option("--to <FILE>", "write the page to FILE (default: beside the report)", fileName)
    .option("--force", "replace a page made before")
    .option(...jobs)
    .option(...debug)
    .action((report: string, folder: string, options: PageOptions) =>
      start(async (io, dependencies) => {
        const { page } = await import("./page.js");
        return page(report, folder, options, io, dependencies);
      }),
    );

  command("demo", "Render a practice set with known faults into FOLDER.")
    .argument("<FOLDER>")
    .option(
      "--seed <N>",
      "another set of the same kind; the same N, the same photos",
      wholeNumber(0, 2 ** 32 - 1, 4),
    )
    .option("--clean", "a set without any fault")
    .option(...jobs)
    .option(...debug)
    .action((folder: string, options: DemoOptions) =>
      start(async (io, dependencies) => {
        const { demo } = await import("./demo.js");
        return demo(folder, options, io, dependencies);
      }),
    );

  command("checks", "List the checks, or explain one of them.")
    .argument("[ID]")
    .option(...debug)
    .action((id: string | undefined) =>
      start(async (io, dependencies) => {
        const { checks } = await import("./checks.js");
        return checks(id, io, dependencies);
      }),
    );
  return program;
}

/** Reads an option's value as a whole number in [least, most]. */
function wholeNumber(least: number, most: number, example: number): (text: string) => number {
  return (text) => {
    const number = /^\d{1,15}$/.test(text) ? Number(text) : Number.NaN;
    if (number >= least && number <= most) return number;
    throw new InvalidArgumentError(
      `Expected a whole number from ${least} to ${most}, for example ${example}.`,
    );
  };
}

/** `--save --force` would otherwise save to a file named "--force". */
function fileName(text: string): string {
  if (text.startsWith("-"))
    throw new InvalidArgumentError(`Expected a file; one of that name is written ./${text}`);
  return text;
}
