import { CONTROLS } from "../controls.js";
import type { AroundBand, AroundFacts, AroundPart, AroundStep } from "../types/around.js";
import type { Exif } from "../types/exif.js";
import type { Facts, PhotoFacts } from "../types/facts.js";
import type { Judgement, PhotoVerdict } from "../types/judgement.js";
import type { Report } from "../types/report.js";

export const schemaVersion = 2;

/**
 * The JSON report: the facts, what was judged of them, and counts. Described name by name in docs/report-format.md and
 * docs/report.schema.json.
 */
export interface ReportDocument
  extends Omit<Facts, "atMostPhotos" | "photos" | "around">,
    Pick<
      Judgement,
      "verdict" | "whatItIs" | "requirements" | "strict" | "anew" | "findings" | "skipped" | "limits"
    >,
    Pick<Report, "tool" | "counts"> {
  readonly schemaVersion: typeof schemaVersion;
  readonly atMost?: number;
  readonly photos: readonly PhotoEntry[];
  readonly around: AroundEntry;
}

export interface PhotoEntry extends PhotoFacts {
  readonly verdict: PhotoVerdict;
}

export interface AroundEntry extends Omit<AroundFacts, "parts"> {
  readonly parts: readonly AroundPartEntry[];
}

export interface AroundPartEntry extends Omit<AroundPart, "bands"> {
  /** Its cameras are placed surely enough to speak of. */
  readonly placed: boolean;
  readonly bands: readonly AroundBandEntry[];
}

/** A band with the steps picked out that are too wide to match by themselves, and those that the check "gap" calls gaps. */
export interface AroundBandEntry extends AroundBand {
  readonly wide: readonly AroundStep[];
  readonly gaps: readonly AroundStep[];
}

/** The JSON report as text, one document that ends in a line break; the same report gives the same bytes. */
export function renderJson(report: Report): string {
  return `${escapeControls(write(documentOf(report), ""))}\n`;
}

/** The document behind the text. */
function documentOf({ tool, facts, judgement, counts }: Report): ReportDocument {
  const { folder, orderedBy, atMostPhotos, photos, pairs, around, ...rest } = facts;
  const { verdict, whatItIs, requirements, photoVerdicts, strict, anew, findings, skipped, limits } =
    judgement;
  return {
    schemaVersion,
    tool,
    folder,
    verdict,
    ...(whatItIs && { whatItIs }),
    requirements,
    counts,
    orderedBy,
    ...(atMostPhotos !== undefined && { atMost: atMostPhotos }),
    ...(strict && { strict }),
    ...(anew && { anew }),
    photos: photos.map(({ file, widthPx, heightPx, ...photo }) => ({
      file,
      verdict: photoVerdicts.get(file) ?? "pass",
      widthPx,
      heightPx,
      ...photo,
      exif: known(photo.exif),
    })),
    pairs,
    around: {
      ...around,
      parts: around.parts.map((part) => ({
        ...part,
        placed: judgement.around.placed.includes(part),
        bands: part.bands.map((band) => ({
          ...band,
          wide: band.steps.filter((step) => judgement.around.wide.has(step)),
          gaps: band.steps.filter((step) => judgement.around.gaps.has(step)),
        })),
      })),
    },
    ...rest,
    findings,
    skipped,
    limits,
  };
}

/** All that may be told of what a file says: names are picked, so that nothing slips in by being in memory. */
const EXIF_NAMES: Readonly<Record<keyof Exif, true>> = {
  make: true,
  model: true,
  lens: true,
  exposureTimeS: true,
  fNumber: true,
  iso: true,
  ev100: true,
  focalLengthMm: true,
  focalLength35Mm: true,
  subjectDistanceM: true,
  digitalZoom: true,
  flashFired: true,
  exposureMode: true,
  whiteBalance: true,
  orientation: true,
  capturedAt: true,
  hasLocation: true,
};

function known(exif: Exif): Exif {
  return Object.fromEntries(
    Object.entries(exif).filter(([name]) => Object.hasOwn(EXIF_NAMES, name)),
  ) as unknown as Exif;
}

/** The facts a report was judged from. Judging them again with its limits gives the same findings. */
export function factsFromJson(document: ReportDocument): Facts {
  const found: number = document.schemaVersion;
  if (found !== schemaVersion)
    throw new TypeError(
      found === 1
        ? "Expected a report with schemaVersion 2, found 1: an older goodgate wrote it, and verdicts meant something else then; check the folder again."
        : `Expected a report with schemaVersion ${schemaVersion}, found ${JSON.stringify(found)}.`,
    );
  const { schemaVersion: _, tool, verdict, whatItIs, requirements, counts, ...facts } = document;
  const { strict, anew, findings, skipped, limits, atMost, photos, around, ...rest } = facts;
  return {
    ...rest,
    photos: photos.map(({ verdict: _, ...photo }) => photo),
    around: {
      ...around,
      parts: around.parts.map(({ placed: _, ...part }) => ({
        ...part,
        bands: part.bands.map(({ wide: _, gaps: __, ...band }) => band),
      })),
    },
    ...(atMost !== undefined && { atMostPhotos: atMost }),
  };
}

/**
 * The report as it was when it was written: nothing of it is judged anew.
 * @throws TypeError where the document is of another version, or no report of this program
 */
export function reportFromJson(document: ReportDocument): Report {
  const facts = factsFromJson(document);
  const { tool, verdict, whatItIs, requirements, counts, strict, anew, findings, skipped, limits, photos } =
    document;
  const entries = document.around.parts.map((entry, k) => ({ entry, part: facts.around.parts[k]! }));
  const steps = (name: "wide" | "gaps") =>
    new Set(
      entries.flatMap(({ entry, part }) =>
        entry.bands.flatMap((band, k) => {
          const listed = new Set(band[name].map((step) => JSON.stringify(step)));
          return part.bands[k]!.steps.filter((step) => listed.has(JSON.stringify(step)));
        }),
      ),
    );
  const photoVerdicts = new Map<string, PhotoVerdict>([
    ...photos.map(({ file, verdict: own }) => [file, own] as const),
    ...facts.unreadable.map(({ file }) => [file, "reshoot"] as const),
  ]);
  return {
    tool,
    facts,
    judgement: {
      verdict,
      requirements,
      ...(whatItIs && { whatItIs }),
      photoVerdicts,
      findings,
      skipped,
      around: {
        placed: entries.filter(({ entry }) => entry.placed).map(({ part }) => part),
        wide: steps("wide"),
        gaps: steps("gaps"),
      },
      limits,
      ...(strict && { strict }),
      ...(anew && { anew }),
    },
    counts,
  };
}

// ---------------------------------------------------------------- text

/** JSON with two spaces a level, and lists of plain values on one line: a grid of tiles stays readable. */
function write(value: unknown, indent: string): string {
  if (typeof value !== "object" || value === null) return JSON.stringify(value);
  const deeper = `${indent}  `;
  if (Array.isArray(value)) {
    if (value.every((item) => typeof item !== "object" || item === null))
      return `[${value.map((item) => JSON.stringify(item)).join(", ")}]`;
    return `[\n${value.map((item) => deeper + write(item, deeper)).join(",\n")}\n${indent}]`;
  }
  // A name that is not there was not measured.
  const entries = Object.entries(value).filter(([, item]) => item !== undefined);
  if (entries.length === 0) return "{}";
  const fields = entries.map(([name, item]) => `${JSON.stringify(name)}: ${write(item, deeper)}`);
  const oneLine = `{ ${fields.join(", ")} }`;
  if (entries.every(([, item]) => typeof item !== "object") && oneLine.length + indent.length <= 100)
    return oneLine;
  return `{\n${fields.map((field) => deeper + field).join(",\n")}\n${indent}}`;
}

/** JSON itself lets through the later control characters and the marks that turn the reading direction. */
function escapeControls(text: string): string {
  return text.replace(CONTROLS, (character) =>
    // The only one that stands outside of strings.
    character === "\n"
      ? character
      : Array.from({ length: character.length }, (_, i) => character.charCodeAt(i))
          .map((unit) => `\\u${unit.toString(16).padStart(4, "0")}`)
          .join(""),
  );
}
