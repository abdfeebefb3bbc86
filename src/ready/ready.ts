import { basename } from "node:path";
import { ExplainedError } from "../errors.js";
import { type FilePath, listFolder } from "../gather/folder.js";
import { readPhotoFileToKeep } from "../gather/read-file.js";
import { inTurn } from "../in-turn.js";
import type { Gains } from "../measure/set/correction.js";
import { type AuditOptions, audit } from "../pipeline/audit.js";
import { renderJson } from "../report/json.js";
import type { Report } from "../types/report.js";
import { type Manifest, type ManifestFile, manifestVersion, renderManifest } from "./manifest.js";
import { Draft, newPlace } from "./new-folder.js";
import { type LeftBehind, planUpload } from "./plan.js";
import { NotPrepared, preparePhoto } from "./prepare-photo.js";

export interface ReadyOptions extends AuditOptions {
  /** Copies what is good even where the set is not ready. */
  readonly anyway?: boolean;
  /** Most photos that go up: the best are chosen. */
  readonly most?: number;
  /** Most megabytes (of a million bytes) that go up. */
  readonly mostMb?: number;
  /** Brings photos whose light or colour is off to that of the set. */
  readonly level?: boolean;
  /** Leaves location, serial numbers, owner and maker notes in. */
  readonly keepPrivate?: boolean;
  /** Writes what an upload may not take as JPEG. */
  readonly jpeg?: boolean;
  /** Longest edge, px. */
  readonly longEdgePx?: number;
  /** Writes nothing. */
  readonly dryRun?: boolean;
  readonly onCopied?: (done: number, of: number) => void;
}

/** What was done, or would be. */
export interface Ready {
  /** Whether the set was ready; where not, nothing was written unless asked to anyway. */
  readonly isReady: boolean;
  readonly written: boolean;
  readonly report: Report;
  readonly manifest: Manifest;
}

/** What the upload needs cannot be done. */
export class ReadyError extends ExplainedError {
  override readonly name = "ReadyError";
}

/** Photos prepared at once: one is decoded while another is written. */
const AT_ONCE = 2;

/**
 * Copies what should be uploaded from a folder of photos into a new one: the good photos, without location and other
 * private tags. Nothing in the folder of the photos is written to; the new folder appears whole or not at all, with a
 * manifest and the report beside it.
 *
 * @throws ExplainedError where it cannot be done, with the way out
 */
export async function ready(source: string, target: string, options: ReadyOptions = {}): Promise<Ready> {
  const { signal, recursive = false } = options;
  const place = await newPlace(source, target);
  const report = await audit(source, options);
  const listing = await listFolder(source, { recursive, ...(signal && { signal }) });
  const paths = new Map(listing.photos.map(({ file, path }) => [file, path]));
  const sizes = await sizesOf(paths);
  if (
    (options.most !== undefined || options.mostMb !== undefined) &&
    report.judgement.around.placed.length === 0
  )
    throw new ReadyError(
      "to choose the best photos",
      "nobody can tell where they were taken from",
      "leave --most and --most-mb out",
    );
  const plan = planUpload(report, (file) => sizes.get(file) ?? 0, {
    most: options.most,
    mostBytes: options.mostMb === undefined ? undefined : options.mostMb * 1e6,
  });
  const isReady = isUploadable(report);
  const manifest = (files: readonly ManifestFile[], left: readonly LeftBehind[]): Manifest => ({
    schemaVersion: manifestVersion,
    tool: report.tool,
    source: report.facts.folder,
    folder: basename(place.folder),
    verdict: report.judgement.verdict,
    files,
    left,
    given: plan.given,
  });
  if (!isReady && options.anyway !== true)
    return { isReady, written: false, report, manifest: manifest([], plan.left) };
  const gains = options.level === true ? gainsOf(report) : new Map<string, Gains>();
  const hashes = new Map(report.facts.photos.map(({ file, contentHash }) => [file, contentHash]));
  const draft = options.dryRun === true ? undefined : await Draft.open(place);
  try {
    const files: ManifestFile[] = new Array(plan.files.length);
    const names = new Map<string, string>();
    let done = 0;
    await inTurn(plan.files, AT_ONCE, async (file, k) => {
      signal?.throwIfAborted();
      files[k] = await prepareOne(file, paths.get(file), hashes.get(file), gains.get(file), options, draft);
      const other = names.get(files[k].file.toLowerCase());
      if (other !== undefined)
        throw new ReadyError(
          "names that stay apart",
          `${JSON.stringify(file)} and ${JSON.stringify(other)} would both be written as ${JSON.stringify(files[k].file)}`,
          "rename one of them",
        );
      names.set(files[k].file.toLowerCase(), file);
      options.onCopied?.(++done, plan.files.length);
    });
    const whole = manifest(files, plan.left);
    signal?.throwIfAborted();
    await draft?.finish(renderManifest(whole), renderJson(report));
    return { isReady, written: draft !== undefined, report, manifest: whole };
  } catch (error) {
    await draft?.drop();
    throw error;
  }
}

/** Whether what is good in the set can go up as it is, once the rest is left behind. */
function isUploadable({ judgement }: Report): boolean {
  return judgement.verdict === "pass" || judgement.verdict === "tidy";
}

async function sizesOf(paths: ReadonlyMap<string, FilePath>): Promise<Map<string, number>> {
  const { stat } = await import("node:fs/promises");
  const { pathLike } = await import("../gather/folder.js");
  const sizes = await Promise.all(
    [...paths].map(async ([file, path]) => [file, (await stat(pathLike(path))).size] as const),
  );
  return new Map(sizes);
}

async function prepareOne(
  file: string,
  path: FilePath | undefined,
  judged: string | undefined,
  gains: Gains | undefined,
  options: ReadyOptions,
  draft: Draft | undefined,
): Promise<ManifestFile> {
  const changed = () =>
    new ReadyError(
      "the photos that were judged",
      `${JSON.stringify(file)} has changed since`,
      "run again once copying has ended",
    );
  if (path === undefined) throw changed();
  const { bytes, contentHash } = await readPhotoFileToKeep(path);
  if (contentHash !== judged) throw changed();
  try {
    const prepared = await preparePhoto(file, bytes, gains, {
      keepPrivate: options.keepPrivate === true,
      toJpeg: options.jpeg === true,
      longEdgePx: options.longEdgePx,
    });
    await draft?.add(prepared.file, prepared.bytes, options.signal);
    return {
      file: prepared.file,
      source: file,
      sourceSha256: contentHash,
      sha256: prepared.hash,
      bytes: prepared.bytes.length,
      done: prepared.done,
      ...(gains && { gains }),
    };
  } catch (error) {
    if (!(error instanceof NotPrepared)) throw error;
    throw new ReadyError(`to prepare ${JSON.stringify(file)}`, error.message, error.wayOut);
  }
}

/** Checks that ask for light or colour to be edited. */
const LEVELLED_BY: ReadonlySet<string> = new Set(["exposure-step", "colour-cast", "levelled-set"]);
/** A photo that is off by less is left as it is, stops: less is not seen from photo to photo (common practice, no source). */
const SEEN_STOPS = 0.1;

/**
 * What the light of each photo that is off is multiplied by: where the report asks for any to be edited, all that are seen
 * to be off, so that the set comes out even; else none.
 */
function gainsOf({ facts, judgement }: Report): Map<string, Gains> {
  const asked = judgement.findings.some(
    ({ check, severity }) => LEVELLED_BY.has(check) && severity === "edit",
  );
  if (!asked) return new Map();
  return new Map(
    facts.photos.flatMap(({ file, measures: { redGain, greenGain, blueGain } }) => {
      if (!redGain || !greenGain || !blueGain) return [];
      const gains = { red: redGain.value, green: greenGain.value, blue: blueGain.value };
      const off = Math.max(...Object.values(gains).map((gain) => Math.abs(Math.log2(gain))));
      return off < SEEN_STOPS ? [] : [[file, gains] as const];
    }),
  );
}
