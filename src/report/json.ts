import type {
  AroundBand,
  AroundFacts,
  AroundPart,
  AroundStep,
  Exif,
  Facts,
  Finding,
  LeftAlone,
  LightFacts,
  Limits,
  Measure,
  PairFacts,
  PhotoFacts,
  PhotoMeasures,
  PhotoVerdict,
  RawPreview,
  Report,
  SetVerdict,
  Skipped,
  SubjectFacts,
  TileMeasures,
  UnreadableFile,
  UnsupportedFile,
} from "../types.js";

export const schemaVersion = 1;

/** The JSON report, described name by name in docs/report-format.md and docs/report.schema.json. */
export interface ReportDocument {
  readonly schemaVersion: typeof schemaVersion;
  readonly tool: Report["tool"];
  readonly folder: string;
  readonly verdict: SetVerdict;
  readonly counts: Report["counts"];
  readonly orderedBy: Facts["orderedBy"];
  readonly atMost?: number;
  readonly strict?: true;
  readonly photos: readonly PhotoEntry[];
  readonly pairs: readonly PairFacts[];
  readonly around: AroundEntry;
  readonly light?: LightFacts;
  readonly unreadable: readonly UnreadableFile[];
  readonly unsupported: readonly UnsupportedFile[];
  readonly otherFiles: number;
  readonly leftAlone?: LeftAlone;
  readonly findings: readonly Finding[];
  readonly skipped: readonly Skipped[];
  readonly limits: Limits;
}

export interface PhotoEntry {
  readonly file: string;
  readonly verdict: PhotoVerdict;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly contentHash: string;
  readonly exif: Exif;
  readonly rawPreview?: RawPreview;
  readonly measures: PhotoMeasures;
  readonly tiles: TileMeasures;
  readonly subject?: SubjectFacts;
}

export interface AroundEntry extends Omit<AroundFacts, "parts"> {
  readonly parts: readonly AroundPartEntry[];
}

export interface AroundPartEntry extends Omit<AroundPart, "bands"> {
  readonly bands: readonly AroundBandEntry[];
}

/** A band with the steps that the check "gap" calls too wide picked out by its limit. */
export interface AroundBandEntry extends AroundBand {
  readonly gaps: readonly AroundStep[];
}

/** The JSON report as text, one document that ends in a line break; the same report gives the same bytes. */
export function renderJson(report: Report): string {
  return `${escapeControls(write(documentOf(report), ""))}\n`;
}

/** The document behind the text. Names are picked one by one, so that nothing slips in by being in memory. */
function documentOf(report: Report): ReportDocument {
  const { tool, facts, judgement, counts } = report;
  return pick({
    schemaVersion: schemaVersion as typeof schemaVersion,
    tool: { name: tool.name, version: tool.version },
    folder: facts.folder,
    verdict: judgement.verdict,
    counts: {
      photos: counts.photos,
      pass: counts.pass,
      edit: counts.edit,
      leaveOut: counts.leaveOut,
      reshoot: counts.reshoot,
      toAdd: counts.toAdd,
    },
    orderedBy: facts.orderedBy,
    atMost: facts.atMostPhotos,
    strict: judgement.strict,
    photos: facts.photos.map((photo) => photoEntry(photo, judgement.photoVerdicts.get(photo.file) ?? "pass")),
    pairs: facts.pairs.map(pairEntry),
    around: aroundEntry(facts.around, judgement.limits),
    light: facts.light === undefined ? undefined : lightEntry(facts.light),
    unreadable: facts.unreadable.map(({ file, reason }) => ({ file, reason })),
    unsupported: facts.unsupported.map(({ file, kind }) => ({ file, kind })),
    otherFiles: facts.otherFiles,
    leftAlone: facts.leftAlone === undefined ? undefined : leftAloneEntry(facts.leftAlone),
    findings: judgement.findings.map(findingEntry),
    skipped: judgement.skipped.map(({ check, photos, reason }) => ({ check, photos, reason })),
    limits: Object.fromEntries(
      Object.entries(judgement.limits).map(([check, limits]) => [
        check,
        Object.fromEntries(Object.entries(limits).map(([name, limit]) => [name, limitEntry(limit)])),
      ]),
    ),
  });
}

/** The facts a report was judged from. Judging them again with its limits gives the same findings. */
export function factsFromJson(document: ReportDocument): Facts {
  if (document.schemaVersion !== schemaVersion)
    throw new TypeError(
      `Expected a report with schemaVersion ${schemaVersion}, found ${JSON.stringify(document.schemaVersion)}.`,
    );
  return pick({
    folder: document.folder,
    orderedBy: document.orderedBy,
    photos: document.photos.map(({ verdict: _, ...photo }) => photo),
    pairs: document.pairs,
    around: aroundOf(document.around),
    light: document.light,
    unreadable: document.unreadable,
    unsupported: document.unsupported,
    otherFiles: document.otherFiles,
    leftAlone: document.leftAlone,
    atMostPhotos: document.atMost,
  });
}

// ---------------------------------------------------------------- entries

function photoEntry(photo: PhotoFacts, verdict: PhotoVerdict): PhotoEntry {
  const { file, widthPx, heightPx, contentHash, exif, rawPreview, measures, tiles, subject } = photo;
  return pick({
    file,
    verdict,
    widthPx,
    heightPx,
    contentHash,
    exif: exifEntry(exif),
    rawPreview: rawPreview === undefined ? undefined : { whole: rawPreview.whole },
    measures: measuresEntry(measures),
    tiles: {
      columns: tiles.columns,
      rows: tiles.rows,
      laplacianVariance: tiles.laplacianVariance,
      bandRatio: tiles.bandRatio,
      clippedAnyRatio: tiles.clippedAnyRatio,
      noiseSigma: tiles.noiseSigma,
    },
    subject: subject === undefined ? undefined : subjectEntry(subject),
  });
}

function subjectEntry({ source, measures }: SubjectFacts): SubjectFacts {
  return {
    source,
    measures: pick({
      confidence: measureEntry(measures.confidence),
      areaRatio: measureEntry(measures.areaRatio),
      sideRatio: measureEntry(measures.sideRatio),
      cutRatio: optionalEntry(measures.cutRatio),
      scaleOffsetStops: optionalEntry(measures.scaleOffsetStops),
      laplacianVariance: optionalEntry(measures.laplacianVariance),
      bandRatio: optionalEntry(measures.bandRatio),
      backgroundBandRatio: optionalEntry(measures.backgroundBandRatio),
      clippedRatio: optionalEntry(measures.clippedRatio),
      blockedRatio: optionalEntry(measures.blockedRatio),
      meanLuminanceStops: optionalEntry(measures.meanLuminanceStops),
      textureRatio: optionalEntry(measures.textureRatio),
      noiseSigma: optionalEntry(measures.noiseSigma),
      keypoints: measureEntry(measures.keypoints),
      bareRatio: optionalEntry(measures.bareRatio),
      exposureOffsetStops: optionalEntry(measures.exposureOffsetStops),
      detailOffsetStops: optionalEntry(measures.detailOffsetStops),
      backgroundDetailOffsetStops: optionalEntry(measures.backgroundDetailOffsetStops),
    }),
  };
}

function leftAloneEntry(leftAlone: LeftAlone): LeftAlone {
  const { rawBeside, liveVideos, sidecars, photosInside, foldersInside, closedFolders } = leftAlone;
  return { rawBeside, liveVideos, sidecars, photosInside, foldersInside, closedFolders };
}

function exifEntry(exif: Exif): Exif {
  return pick({
    make: exif.make,
    model: exif.model,
    lens: exif.lens,
    exposureTimeS: exif.exposureTimeS,
    fNumber: exif.fNumber,
    iso: exif.iso,
    ev100: exif.ev100,
    focalLengthMm: exif.focalLengthMm,
    focalLength35Mm: exif.focalLength35Mm,
    subjectDistanceM: exif.subjectDistanceM,
    digitalZoom: exif.digitalZoom,
    flashFired: exif.flashFired,
    exposureMode: exif.exposureMode,
    whiteBalance: exif.whiteBalance,
    orientation: exif.orientation,
    capturedAt: exif.capturedAt,
    hasLocation: exif.hasLocation,
  });
}

function measuresEntry(measures: PhotoMeasures): PhotoMeasures {
  return pick({
    laplacianVariance: measureEntry(measures.laplacianVariance),
    bandRatio: optionalEntry(measures.bandRatio),
    sharpestBandRatio: optionalEntry(measures.sharpestBandRatio),
    clippedAnyRatio: measureEntry(measures.clippedAnyRatio),
    clippedAllRatio: measureEntry(measures.clippedAllRatio),
    clippedCentreRatio: measureEntry(measures.clippedCentreRatio),
    blockedRatio: measureEntry(measures.blockedRatio),
    meanLuminanceStops: measureEntry(measures.meanLuminanceStops),
    redGreenStops: measureEntry(measures.redGreenStops),
    blueGreenStops: measureEntry(measures.blueGreenStops),
    noiseSigma: optionalEntry(measures.noiseSigma),
    keypoints: measureEntry(measures.keypoints),
    exposureOffsetStops: optionalEntry(measures.exposureOffsetStops),
    redOffsetStops: optionalEntry(measures.redOffsetStops),
    blueOffsetStops: optionalEntry(measures.blueOffsetStops),
    sharpnessOffsetStops: optionalEntry(measures.sharpnessOffsetStops),
    detailOffsetStops: optionalEntry(measures.detailOffsetStops),
    comparedPhotos: measureEntry(measures.comparedPhotos),
    linkedPhotos: measureEntry(measures.linkedPhotos),
  });
}

function pairEntry(pair: PairFacts): PairFacts {
  return pick({
    a: pair.a,
    b: pair.b,
    verifiedMatches: pair.verifiedMatches,
    verifiedRatio: pair.verifiedRatio,
    overlapRatio: pair.overlapRatio,
    supportRatio: pair.supportRatio,
    shiftRatio: pair.shiftRatio,
    exposureDriftStops: pair.exposureDriftStops,
    colourDrift:
      pair.colourDrift === undefined
        ? undefined
        : { redStops: pair.colourDrift.redStops, blueStops: pair.colourDrift.blueStops },
    relativeSharpness: pair.relativeSharpness,
    relativeDetail: pair.relativeDetail,
  });
}

function aroundEntry(around: AroundFacts, limits: Limits): AroundEntry {
  const widest = limits.gap?.step?.value ?? Number.POSITIVE_INFINITY;
  return pick({
    wantedSpanDeg: around.wantedSpanDeg,
    focalSource: around.focalSource,
    focalFactor: around.focalFactor,
    upSource: around.upSource,
    turnedSubject: around.turnedSubject,
    parts: around.parts.map((part) => ({
      photos: part.photos,
      confidence: part.confidence,
      cameras: part.cameras.map(({ file, azimuthDeg, elevationDeg, uncertaintyDeg }) => ({
        file,
        azimuthDeg,
        elevationDeg,
        uncertaintyDeg,
      })),
      bands: part.bands.map(({ name, photos, spanDeg, closed, steps }) => ({
        name,
        photos,
        spanDeg,
        closed,
        steps: steps.map(stepEntry),
        gaps: steps.filter(({ angleDeg }) => angleDeg > widest).map(stepEntry),
      })),
      bandGaps: part.bandGaps.map(({ lower, upper, fromPhoto, toPhoto, angleDeg }) => ({
        lower,
        upper,
        fromPhoto,
        toPhoto,
        angleDeg,
      })),
      missingBands: part.missingBands,
      viewsPerDirection: part.viewsPerDirection,
    })),
  });
}

function lightEntry({ photos, exposureSource, swing, step }: LightFacts): LightFacts {
  return pick({
    exposureSource,
    swing:
      swing === undefined
        ? undefined
        : pick({
            swingStops: swing.swingStops,
            oneSidedStops: swing.oneSidedStops,
            twoSidedStops: swing.twoSidedStops,
            darkSideDeg: swing.darkSideDeg,
            darkPhotos: swing.darkPhotos,
            binStops: swing.binStops,
          }),
    step:
      step === undefined
        ? undefined
        : pick({
            before: step.before,
            after: step.after,
            stops: step.stops,
            redStops: step.redStops,
            blueStops: step.blueStops,
          }),
    photos: photos.map((photo) =>
      pick({
        file: photo.file,
        subjectStops: photo.subjectStops,
        highlightRatio: photo.highlightRatio,
        shadowRatio: photo.shadowRatio,
        followedRatio: photo.followedRatio,
        airyDiameterPx: photo.airyDiameterPx,
        subjectDepthMm: photo.subjectDepthMm,
        depthOfFieldMm: photo.depthOfFieldMm,
      }),
    ),
  });
}

function stepEntry({ fromPhoto, toPhoto, widthDeg, angleDeg }: AroundStep): AroundStep {
  return { fromPhoto, toPhoto, widthDeg, angleDeg };
}

/** The facts behind the entry: gaps follow from steps and limits. */
function aroundOf({ parts, ...around }: AroundEntry): AroundFacts {
  return {
    ...around,
    parts: parts.map(({ bands, ...part }) => ({
      ...part,
      bands: bands.map(({ gaps: _, ...band }) => band),
    })),
  };
}

function findingEntry(finding: Finding): Finding {
  return pick({
    check: finding.check,
    about: finding.about,
    severity: finding.severity,
    photos: finding.photos,
    measured: optionalEntry(finding.measured),
    limit: finding.limit === undefined ? undefined : limitEntry(finding.limit),
    message: finding.message,
    advice: finding.advice,
    toAdd: finding.toAdd,
  });
}

function measureEntry({ value, unit }: Measure): Measure {
  return { value, unit };
}

function optionalEntry(measure: Measure | undefined): Measure | undefined {
  return measure === undefined ? undefined : measureEntry(measure);
}

function limitEntry({ value, unit, source }: Measure & { readonly source: string }) {
  return { value, unit, source };
}

/** The record without what is absent: a name that is not there was not measured. */
function pick<T extends object>(record: T): Present<T> {
  return Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as Present<T>;
}

type Present<T> = { [Name in keyof T as undefined extends T[Name] ? never : Name]: T[Name] } & {
  [Name in keyof T as undefined extends T[Name] ? Name : never]?: Exclude<T[Name], undefined>;
};

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
  const entries = Object.entries(value);
  if (entries.length === 0) return "{}";
  const fields = entries.map(([name, item]) => `${JSON.stringify(name)}: ${write(item, deeper)}`);
  const oneLine = `{ ${fields.join(", ")} }`;
  if (entries.every(([, item]) => typeof item !== "object") && oneLine.length + indent.length <= 100)
    return oneLine;
  return `{\n${fields.map((field) => deeper + field).join(",\n")}\n${indent}}`;
}

/** JSON itself lets through the later control characters and the marks that turn the reading direction. */
function escapeControls(text: string): string {
  return text.replace(
    /[\u007f-\u009f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff]/g,
    (character) => `\\u${character.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
}
