import type { Report } from "../types/report.js";
import type { Dependencies } from "./dependencies.js";
import { SAVED_PAGE, saveWhole } from "./save.js";

export interface PageRequest {
  /** Where the photos of the report lie. */
  readonly folder: string;
  readonly file: string;
  readonly force: boolean;
  readonly recursive: boolean;
  readonly jobs?: number;
  readonly onProgress?: (done: number, of: number) => void;
  readonly signal: AbortSignal;
}

/** Writes a report as a page with the photos' pictures in it; returns how large it is, MB. */
export async function writePage(
  report: Report,
  { folder, file, force, signal, ...options }: PageRequest,
  { makePictures }: Dependencies,
): Promise<number> {
  const [{ picturesFor }, { renderPage }] = await Promise.all([
    import("../report/page/order-pictures.js"),
    import("../report/page/page.js"),
  ]);
  const pictures = await makePictures(folder, picturesFor(report), { ...options, signal });
  const text = renderPage(report, pictures);
  await saveWhole(file, text, { force, signal, saved: SAVED_PAGE });
  return Buffer.byteLength(text) / 1e6;
}

/** "jug.html (8.2 MB): open it in a browser." */
export function pageWords(file: string, megabytes: number): string {
  return `${JSON.stringify(file)} (${megabytes.toFixed(1)} MB): open it in a browser.`;
}
