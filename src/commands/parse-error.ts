import type { CommanderError } from "commander";
import { nearest } from "../nearest.js";
import { CommandError } from "./errors.js";
import { type CommandHelp, commandNames, commands, optionNames } from "./help.js";

/** What the parser could not make sense of, with the nearest thing that would have been right. */
export function parseError(error: CommanderError, argv: readonly string[]): CommandError {
  const word = /'([^']*)'/.exec(error.message)?.[1] ?? "";
  const command = commandOf(argv);
  const helpLine = command === undefined ? "see goodgate --help" : `see goodgate ${command.name} --help`;
  switch (error.code) {
    case "commander.unknownOption": {
      const names = command === undefined ? ["--help", "--version"] : optionNames(command);
      const near = nearest(word.split("=")[0]!, names);
      return new CommandError(
        `an option of goodgate${command === undefined ? "" : ` ${command.name}`}`,
        `there is no ${word}`,
        near === undefined ? `choose from ${names.join(", ")}` : `${near} is nearest`,
      );
    }
    case "commander.unknownCommand": {
      const near = nearest(word, commandNames);
      return new CommandError(
        `a command (${commandNames.join(", ")})`,
        `found ${JSON.stringify(word)}`,
        near === undefined
          ? `to judge a folder of that name, write goodgate check ${word}`
          : `goodgate ${near} is nearest`,
      );
    }
    case "commander.missingArgument":
      return new CommandError(`a ${word} after goodgate ${command?.name ?? ""}`, "there is none", helpLine);
    case "commander.optionMissingArgument":
      return new CommandError(`a value after ${word.split(" ")[0]}`, "there is none", helpLine);
    case "commander.excessArguments":
      return new CommandError(
        `${command?.argument === "[ID]" ? "at most one ID" : "one FOLDER"}`,
        "there are more",
        "put a name with spaces in quotes",
      );
    default:
      return new CommandError(
        "a command line that makes sense",
        error.message.replace(/^error: /, ""),
        helpLine,
      );
  }
}

function commandOf(argv: readonly string[]): CommandHelp | undefined {
  return Object.values<CommandHelp>(commands).find(({ name }) => name === argv[0]);
}
