/** How long the program takes to say what it can do, beside Node doing nothing. */
import { spawnSync } from "node:child_process";
import type { Bar } from "./table.js";

/** Starts of each, in turn; the median of so many is steady to a few milliseconds. */
const STARTS = 41;

export function startUpBars(root: string): Bar[] {
  const commands = [
    ["-e", "0"],
    ["bin/goodgate.js", "--help"],
    ["bin/goodgate.js", "--version"],
  ];
  const found = commands.map((): number[] => []);
  for (let round = 0; round < STARTS; round++) {
    for (const [i, args] of commands.entries()) {
      const start = performance.now();
      if (spawnSync(process.execPath, args, { cwd: root }).status !== 0)
        throw new Error(`node ${args.join(" ")} failed`);
      found[i]!.push(performance.now() - start);
    }
  }
  const [bare, ...own] = found.map((times) => times.sort((a, b) => a - b)[STARTS >> 1]!);
  return own.map((median, i) => ({
    what: `${commands[i + 1]![1]}, wall over bare Node's start (${bare!.toFixed(0)} ms)`,
    value: median / bare!,
    bar: 1.25,
    unit: "times",
  }));
}
