import type { Gains } from "../measure/set/correction.js";
import type { Report } from "../types/report.js";
import type { LeftBehind } from "./plan.js";
import type { Deed } from "./prepare-photo.js";

export const manifestVersion = 1;

/** One file that goes up. */
export interface ManifestFile {
  readonly file: string;
  /** Its path within the folder it came from. */
  readonly source: string;
  /** SHA-256, hex, of the source and of the file. */
  readonly sourceSha256: string;
  readonly sha256: string;
  readonly bytes: number;
  readonly done: readonly Deed[];
  /** What its linear light was multiplied by, where it was levelled. */
  readonly gains?: Gains;
}

/** What went up, and where it came from. */
export interface Manifest {
  readonly schemaVersion: typeof manifestVersion;
  readonly tool: Report["tool"];
  /** Names of the folders, no paths. */
  readonly source: string;
  readonly folder: string;
  readonly verdict: Report["judgement"]["verdict"];
  readonly files: readonly ManifestFile[];
  readonly left: readonly LeftBehind[];
  /** What fewer photos cost, sentences. */
  readonly given: readonly string[];
}

export function renderManifest(manifest: Manifest): string {
  return `${JSON.stringify(manifest, undefined, 2)}\n`;
}
