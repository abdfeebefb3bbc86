import { visible } from "../controls.js";
import type { Report } from "../types/report.js";
import type { Dependencies } from "./dependencies.js";
import { CommandError } from "./errors.js";
import { type ExitCode, type Io, passCode } from "./io.js";
import { readPlainFile } from "./plain-file.js";
import { ProgressLine } from "./progress.js";
import { checkSavePath, SAVED_PAGE, SAVED_REPORT } from "./save.js";
import { stoppable, untilStopped } from "./stop.js";
import { pageWords, writePage } from "./write-page.js";

/** The options as the parser reads them. */
export interface PageOptions {
  readonly to?: string;
  readonly force?: boolean;
  readonly jobs?: number;
}

/** `goodgate page REPORT.json FOLDER`: the page of a report saved before. */
export async function page(
  reportFile: string,
  folder: string,
  options: PageOptions,
  io: Io,
  dependencies: Dependencies,
): Promise<ExitCode> {
  const force = options.force === true;
  const file = options.to ?? pageBeside(reportFile);
  await checkSavePath(file, force, SAVED_PAGE);
  const report = await readReport(reportFile);
  const progress = new ProgressLine(io.stderr, dependencies.now);
  return untilStopped<ExitCode>(io, async (signal) => {
    const request = {
      folder,
      file,
      force,
      // A name with a folder in it was found by looking into the folders inside.
      recursive: report.facts.photos.some((photo) => photo.file.includes("/")),
      signal,
      onProgress: (done: number, of: number) => progress.show({ stage: "pictures", done, of }),
      ...(options.jobs !== undefined && { jobs: options.jobs }),
    };
    const megabytes = await stoppable(writePage(report, request, dependencies), signal).finally(() =>
      progress.clear(),
    );
    await io.stdout.write(`${visible(pageWords(file, megabytes))}\n`);
    return passCode;
  });
}

function pageBeside(reportFile: string): string {
  return `${reportFile.replace(/\.json$/i, "")}.html`;
}

/** The report of a thousand photos has 30 MB. */
const REPORT_FILE = { what: "a report saved with --save", remedy: "name a report", mostMib: 256 };

async function readReport(path: string): Promise<Report> {
  const { what, remedy } = REPORT_FILE;
  const text = await readPlainFile(path, REPORT_FILE);
  if (!SAVED_REPORT.begins.test(text))
    throw new CommandError(what, `${JSON.stringify(path)} is something else`, remedy);
  const { reportFromJson } = await import("../report/json.js");
  try {
    return reportFromJson(JSON.parse(text));
  } catch (error) {
    // What JSON and its reader say of a file that was changed by hand, or is of another version.
    if (!(error instanceof SyntaxError || error instanceof TypeError)) throw error;
    throw new CommandError(
      what,
      `${JSON.stringify(path)} cannot be used (${error.message})`,
      "check the folder again with --save",
    );
  }
}
