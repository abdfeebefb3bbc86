// Writes dist/help/: what `goodgate --help` and `goodgate COMMAND --help` print, as the parser renders it.
import { mkdirSync, writeFileSync } from "node:fs";
import { defineProgram, parse } from "../dist/commands/program.js";

const program = defineProgram(
  () => {},
  () => {},
);
mkdirSync("dist/help", { recursive: true });
writeFileSync(`dist/help/${program.name()}.txt`, parse(["--help"]).out);
for (const command of program.commands)
  writeFileSync(`dist/help/${command.name()}.txt`, parse([command.name(), "--help"]).out);
