import { visible } from "../controls.js";
import type { AuditOptions } from "../pipeline/audit.js";
import type { Report } from "../types/report.js";
import type { SinceLastRun } from "../types/since.js";
import { toolName } from "../version.js";

import type { Dependencies } from "./dependencies.js";
import { columnsOf, type ExitCode, type Io, verdictCodes, wantsColour } from "./io.js";
import { readLimits } from "./limits-file.js";
import { ProgressLine } from "./progress.js";
import { checkSavePath, SAVED_PAGE, saveWhole } from "./save.js";
import { stoppable, untilStopped } from "./stop.js";
import { pageWords, writePage } from "./write-page.js";

/** The options as the parser reads them. */
export interface CheckOptions {
  readonly recursive?: boolean;
  readonly json?: boolean;
  readonly save?: string;
  readonly page?: string;
  readonly force?: boolean;
  readonly limits?: string;
  readonly atMost?: number;
  readonly span?: number;
  readonly strict?: boolean;
  readonly quiet?: boolean;
  readonly all?: boolean;
  readonly jobs?: number;
  readonly cache?: boolean;
  readonly debug?: boolean;
}

/** `goodgate check FOLDER`. */
export async function check(
  folder: string,
  options: CheckOptions,
  io: Io,
  dependencies: Dependencies,
): Promise<ExitCode> {
  const { audit, mergeLimits, now } = dependencies;
  // Everything the user may have mistyped is said before the work starts.
  const force = options.force === true;
  if (options.save !== undefined) await checkSavePath(options.save, force);
  if (options.page !== undefined) await checkSavePath(options.page, force, SAVED_PAGE);
  const limits = options.limits === undefined ? undefined : await readLimits(options.limits, mergeLimits);

  const progress = new ProgressLine(io.stderr, now);
  const faults: string[] = [];
  const warnings: string[] = [];
  return untilStopped<ExitCode>(io, async (signal) => {
    let report: Report;
    try {
      const request: AuditOptions = {
        recursive: options.recursive === true,
        cache: options.cache !== false,
        strict: options.strict === true,
        signal,
        onCacheUnused: (why) => {
          // Once, though a run may begin anew.
          if (!warnings.includes(why)) warnings.push(why);
        },
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
      for (const warning of warnings) await io.stderr.write(`${toolName}: ${visible(warning)}\n`);
      for (const fault of faults) await io.stderr.write(`${fault.split("\n").map(visible).join("\n")}\n`);
    }
    const since = await sinceLast(folder, report, options, dependencies);
    await deliver(report, options, io, signal, since);
    if (options.page !== undefined) {
      const request = {
        folder,
        file: options.page,
        force,
        recursive: options.recursive === true,
        signal,
        ...(options.quiet !== true && {
          onProgress: (done: number, of: number) => progress.show({ stage: "pictures", done, of }),
        }),
        ...(options.jobs !== undefined && { jobs: options.jobs }),
      };
      const work = writePage(report, request, dependencies);
      const megabytes = await stoppable(work, signal).finally(() => progress.clear());
      await io.stderr.write(`${visible(pageWords(options.page, megabytes))}\n`);
    }
    return verdictCodes[report.judgement.verdict];
  });
}

/** It helps to know, and its lack is no reason to fail. */
async function sinceLast(
  folder: string,
  report: Report,
  { cache, recursive = false, strict = false, span = 360, atMost }: CheckOptions,
  { sinceLastRun }: Dependencies,
): Promise<SinceLastRun | undefined> {
  if (cache === false) return undefined;
  return sinceLastRun(folder, report, [recursive, strict, span, atMost ?? null]).catch(() => undefined);
}

async function deliver(
  report: Report,
  options: CheckOptions,
  io: Io,
  signal: AbortSignal,
  since: SinceLastRun | undefined,
): Promise<void> {
  const { renderJson } = await import("../report/json.js");
  if (options.save !== undefined) {
    await saveWhole(options.save, renderJson(report), { force: options.force === true, signal });
    await io.stderr.write(`${visible(`${JSON.stringify(options.save)}: the report as JSON.`)}\n`);
  }
  if (options.json === true) return io.stdout.write(renderJson(report));
  const { renderTerminal } = await import("../report/terminal.js");
  const screen = { columns: columnsOf(io.stdout), colour: wantsColour(io.stdout, io.env) };
  const form = options.quiet === true ? "quiet" : options.all === true ? "all" : "short";
  await io.stdout.write(renderTerminal(report, { ...screen, form, ...(since && { since }) }));
}
