import { nearest } from "../nearest.js";
import { renderCheck, renderCheckList } from "../report/checks.js";
import type { Dependencies } from "./dependencies.js";
import { CommandError } from "./errors.js";
import { columnsOf, type ExitCode, type Io, passCode } from "./io.js";

/** `goodgate checks [ID]`. */
export async function checks(id: string | undefined, io: Io, dependencies: Dependencies): Promise<ExitCode> {
  const all = await dependencies.checks();
  const columns = Math.min(100, columnsOf(io.stdout));
  if (id === undefined) {
    await io.stdout.write(renderCheckList(all, columns));
    return passCode;
  }
  const found = all.find((check) => check.id === id);
  if (found === undefined) {
    const ids = all.map((check) => check.id);
    const near = nearest(id, ids);
    throw new CommandError(
      "the id of a check",
      `there is no ${JSON.stringify(id)}`,
      near === undefined ? `choose from ${ids.join(", ")}` : `try goodgate checks ${near}`,
    );
  }
  await io.stdout.write(renderCheck(found, columns));
  return passCode;
}
