import { readFile } from "node:fs/promises";
import { visible } from "../controls.js";
import type { AuditOptions } from "../pipeline/audit.js";
import type { Limits } from "../types/judgement.js";
import type { Report } from "../types/report.js";

import type { Dependencies } from "./dependencies.js";
import { CommandError, fileReason } from "./errors.js";
import { columnsOf, type ExitCode, type Io, verdictCodes, wantsColour } from "./io.js";
import { ProgressLine } from "./progress.js";
import { checkSavePath, saveWhole } from "./save.js";
import { untilStopped } from "./stop.js";

/** The options as the parser reads them. */
export interface CheckOptions {
  readonly recursive?: boolean;
  readonly json?: boolean;
  readonly save?: string;
  readonly force?: boolean;
  readonly limits?: string;
  readonly atMost?: number;
  readonly span?: number;
  readonly strict?: boolean;
  readonly quiet?: boolean;
  readonly jobs?: number;
  readonly cache?: boolean;
  readonly debug?: boolean;
}

/** `goodgate check FOLDER`. */
export async function check(
  folder: string,
  options: CheckOptions,
  io: Io,
  { audit, mergeLimits, now }: Dependencies,
): Promise<ExitCode> {
  // Everything the user may have mistyped is said before the work starts.
  const force = options.force === true;
  if (options.save !== undefined) await checkSavePath(options.save, force);
  const limits = options.limits === undefined ? undefined : await readLimits(options.limits, mergeLimits);

  const progress = new ProgressLine(io.stderr, now);
  const faults: string[] = [];
  return untilStopped<ExitCode>(io, async (signal) => {
    let report: Report;
    try {
      const request: AuditOptions = {
        recursive: options.recursive === true,
        cache: options.cache !== false,
        strict: options.strict === true,
        signal,
        ...(options.debug === true && { onFault: (file, where) => faults.push(`${file}: ${where}`) }),
        ...(options.quiet !== true && { onProgress: (state) => progress.show(state) }),
        ...(options.jobs !== undefined && { jobs: options.jobs }),
        ...(options.atMost !== undefined && { atMost: options.atMost }),
        ...(options.span !== undefined && { spanDeg: options.span }),
        ...(limits !== undefined && { limits }),
      };
      report = await stoppable(audit(folder, request), signal);
    } finally {
      progress.clear();
      for (const fault of faults) await io.stderr.write(`${fault.split("\n").map(visible).join("\n")}\n`);
    }
    await deliver(report, options, io, signal);
    return verdictCodes[report.judgement.verdict];
  });
}

async function deliver(report: Report, options: CheckOptions, io: Io, signal: AbortSignal): Promise<void> {
  const { renderJson } = await import("../report/json.js");
  if (options.save !== undefined)
    await saveWhole(options.save, renderJson(report), { force: options.force === true, signal });
  if (options.json === true) return io.stdout.write(renderJson(report));
  const { renderTerminal } = await import("../report/terminal.js");
  const screen = { columns: columnsOf(io.stdout), colour: wantsColour(io.stdout, io.env) };
  await io.stdout.write(renderTerminal(report, { ...screen, quiet: options.quiet === true }));
}

/** Settles as soon as the run is stopped, even where the work takes longer to wind down. */
function stoppable<T>(work: Promise<T>, signal: AbortSignal): Promise<T> {
  const stopped = new Promise<never>((_, reject) => {
    signal.addEventListener("abort", () => reject(signal.reason), { once: true });
  });
  return Promise.race([work, stopped]);
}

async function readLimits(path: string, mergeLimits: Dependencies["mergeLimits"]): Promise<Limits> {
  let text: string;
  try {
    text = await readFile(path, "utf8");
  } catch (error) {
    throw new CommandError(
      "a file of limits after --limits",
      `${JSON.stringify(path)} cannot be read (${fileReason(error)})`,
      "name a JSON file",
    );
  }
  let json: unknown;
  try {
    // Some editors put a byte-order mark first.
    text = text.replace(/^\ufeff/, "");
    json = JSON.parse(text);
  } catch (error) {
    const { message } = error as Error;
    throw new CommandError(
      `JSON in ${JSON.stringify(path)}`,
      `${lineOf(text, message)} does not parse (${message})`,
      'put that right; it should look like {"soft-photo": {"blur": 1.5}}',
    );
  }
  return mergeLimits(json, path);
}

/** "line 3" where the parser names a position, "it" where not. */
function lineOf(text: string, message: string): string {
  const [, position] = /position (\d+)/.exec(message) ?? [];
  return position === undefined ? "it" : `line ${text.slice(0, Number(position)).split("\n").length}`;
}
