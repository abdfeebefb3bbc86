/** What can be typed, in one place: the parser and the help text are both made from it. */
export interface OptionHelp {
  /** As commander reads it: "--save <FILE>". */
  readonly flags: string;
  readonly text: string;
}

export interface CommandHelp {
  readonly name: string;
  /** As commander reads it: "<FOLDER>", "[ID]". */
  readonly argument: string;
  readonly summary: string;
  readonly options: readonly OptionHelp[];
}

const debug: OptionHelp = { flags: "--debug", text: "show where in the program an error arose" };
const jobs: OptionHelp = {
  flags: "--jobs <N>",
  text: "work on N photos at a time (default: one for each core)",
};

export const commands = {
  check: {
    name: "check",
    argument: "<FOLDER>",
    summary: "judge the photos: pass, or which to take again and why",
    options: [
      { flags: "--recursive", text: "look into the folders inside as well" },
      { flags: "--json", text: "print the report as one JSON document" },
      { flags: "--save <FILE>", text: "write the JSON report to FILE as well" },
      { flags: "--force", text: "let --save replace a report saved before" },
      { flags: "--limits <FILE>", text: "judge by your own limits: a JSON file, see docs/limits.md" },
      {
        flags: "--at-most <N>",
        text: "say so when the upload takes N photos and there are more",
      },
      { flags: "--span <DEGREES>", text: "how much of the way round is wanted (default: 360, all round)" },
      { flags: "--strict", text: "fail the set for photos that need editing, too" },
      { flags: "--quiet", text: "only the verdict and the photos to take again, one a line" },
      jobs,
      { flags: "--no-cache", text: "measure every photo afresh, and keep nothing" },
      debug,
    ],
  },
  demo: {
    name: "demo",
    argument: "<FOLDER>",
    summary: "render a practice set with known faults into FOLDER",
    options: [
      { flags: "--seed <N>", text: "another set of the same kind; the same N, the same photos" },
      { flags: "--clean", text: "a set without any fault" },
      jobs,
      debug,
    ],
  },
  checks: {
    name: "checks",
    argument: "[ID]",
    summary: "list the checks, or explain one of them",
    options: [debug],
  },
} satisfies Readonly<Record<string, CommandHelp>>;

export type CommandName = keyof typeof commands;
export const commandNames = Object.keys(commands) as readonly CommandName[];

/** The name an option is typed by: "--save" of "--save <FILE>". */
export function optionNames({ options }: CommandHelp): readonly string[] {
  return [...options.map(({ flags }) => flags.split(" ")[0]!), "--help"];
}

/** `goodgate --help`. */
export function renderHelp(): string {
  const rows = commandNames.map((name) => {
    const { argument, summary } = commands[name];
    return [`  goodgate ${name} ${typed(argument)}`, summary] as const;
  });
  return `goodgate judges a folder of photos taken all around a prop, while the set stands.

${table(rows)}

  --help after a command tells its options; --version prints the version.

Exit code: 0 pass, 1 something to do first, 2 could not judge.
Photos are only read, and nothing leaves this machine.
`;
}

/** `goodgate COMMAND --help`. */
export function renderCommandHelp({ name, argument, summary, options }: CommandHelp): string {
  const rows = options.map(({ flags, text }) => [`  ${typed(flags)}`, text] as const);
  return `goodgate ${name} ${typed(argument)}${options.length > 0 ? " [options]" : ""}
${summary[0]!.toUpperCase()}${summary.slice(1)}.

${table(rows)}
`;
}

function typed(flags: string): string {
  return flags.replaceAll(/[<>]/g, "");
}

function table(rows: readonly (readonly [string, string])[]): string {
  const width = Math.max(...rows.map(([left]) => left.length)) + 3;
  return rows.map(([left, right]) => left.padEnd(width) + right).join("\n");
}
