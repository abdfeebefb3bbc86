import type { Check } from "#goodgate/checks/define.js";
import { defaultLimits, judge } from "#goodgate/checks/index.js";
import { judgeWith } from "#goodgate/checks/judge.js";
import { unreadablePhoto } from "#goodgate/checks/unreadable-photo.js";
import { countsOf } from "#goodgate/report/counts.js";
import type { AroundFacts } from "#goodgate/types/around.js";
import type {
  Facts,
  PhotoFacts,
  PhotoMeasures,
  SubjectFacts,
  SubjectMeasures,
} from "#goodgate/types/facts.js";
import type { Finding, Judgement, Skipped } from "#goodgate/types/judgement.js";
import type { PairFacts } from "#goodgate/types/pair.js";
import type { Report } from "#goodgate/types/report.js";
import type { Measure, Unit } from "#goodgate/types/units.js";

/** A measure in a few letters. */
export function m(value: number, unit: Unit): Measure {
  return { value, unit };
}

/** Measures of a sharp, well-lit photo that is linked to six others. */
export const goodMeasures: PhotoMeasures = {
  laplacianVariance: m(312.4, "grey levels squared"),
  bandRatio: m(0.42, "times"),
  sharpestBandRatio: m(0.61, "times"),
  clippedAnyRatio: m(0.004, "ratio"),
  clippedAllRatio: m(0.001, "ratio"),
  clippedCentreRatio: m(0.002, "ratio"),
  blockedRatio: m(0.006, "ratio"),
  meanLuminanceStops: m(-2.4, "stops"),
  redGreenStops: m(0.12, "stops"),
  blueGreenStops: m(-0.31, "stops"),
  noiseSigma: m(1.6, "grey levels"),
  keypoints: m(1450, "keypoints"),
  exposureOffsetStops: m(0.02, "stops"),
  redOffsetStops: m(0, "stops"),
  blueOffsetStops: m(0.01, "stops"),
  sharpnessOffsetStops: m(0.03, "stops"),
  comparedPhotos: m(6, "photos"),
  linkedPhotos: m(6, "photos"),
};

/** A photo as good as `goodMeasures`, with what is named here put in its place. */
export function photo(
  file: string,
  {
    measures,
    ...change
  }: Partial<Omit<PhotoFacts, "measures">> & {
    readonly measures?: Partial<PhotoMeasures>;
  } = {},
): PhotoFacts {
  return {
    file,
    widthPx: 4032,
    heightPx: 3024,
    contentHash: hashOf(file),
    exif: {
      make: "Example",
      model: "Phone 1",
      exposureTimeS: 1 / 60,
      fNumber: 1.8,
      iso: 200,
      ev100: 6.6,
      focalLengthMm: 5.4,
      focalLength35Mm: 26,
      flashFired: false,
      exposureMode: "manual",
      whiteBalance: "manual",
      orientation: 1,
      capturedAt: "2026-05-01T14:03:22.45+02:00",
      hasLocation: false,
    },
    jpegStep: m(2.8, "grey levels"),
    measures: { ...goodMeasures, ...measures },
    edgeWidthsPx: [0.41, 0.43, 0.4, 0.44, 0.42, 0.45, 0.41, 0.4],
    tiles: {
      columns: 2,
      rows: 1,
      laplacianVariance: [310.2, 314.6],
      bandRatio: [0.41, null],
      clippedAnyRatio: [0, 0.008],
      noiseSigma: [1.5, 1.7],
    },
    ...change,
  };
}

/** The measures of a subject that is well framed, sharp and textured, with what is named here put in its place. */
export function subject(change: Partial<SubjectMeasures> = {}): SubjectFacts {
  return {
    source: "geometry",
    measures: {
      confidence: m(0.83, "ratio"),
      areaRatio: m(0.14, "ratio"),
      sideRatio: m(0.56, "ratio"),
      cutRatio: m(0, "ratio"),
      laplacianVariance: m(420, "grey levels squared"),
      bandRatio: m(0.5, "times"),
      backgroundBandRatio: m(0.6, "times"),
      clippedRatio: m(0.01, "ratio"),
      blockedRatio: m(0, "ratio"),
      meanLuminanceStops: m(-2, "stops"),
      textureRatio: m(0.07, "ratio"),
      noiseSigma: m(1.9, "grey levels"),
      keypoints: m(410, "keypoints"),
      bareRatio: m(0.01, "ratio"),
      detailOffsetStops: m(0.05, "stops"),
      ...change,
    },
  };
}

/** Sixty-four hexadecimal digits that hang on the name alone. */
function hashOf(name: string): string {
  let state = 2166136261;
  let hash = "";
  for (let i = 0; hash.length < 64; i++) {
    state = Math.imul(state ^ name.charCodeAt(i % name.length) ^ i, 16777619) >>> 0;
    hash += state.toString(16).padStart(8, "0");
  }
  return hash.slice(0, 64);
}

/** Two photos with plenty in common. */
export function pair(a: string, b: string, change: Partial<PairFacts> = {}): PairFacts {
  return {
    a,
    b,
    verifiedMatches: 240,
    verifiedRatio: 0.71,
    overlapRatio: 0.74,
    supportRatio: 0.5,
    shiftRatio: 0.12,
    exposureDriftStops: 0.01,
    colourDrift: { redStops: 0, blueStops: 0.01 },
    relativeSharpness: -0.02,
    ...change,
  };
}

/** `jug_001.jpg` and so on: as many good photos, each linked to the next. */
export function jugNames(number: number): string[] {
  return Array.from({ length: number }, (_, i) => `jug_${String(i + 1).padStart(3, "0")}.jpg`);
}

/** Nothing is known of where the camera stood. */
export const notPlaced: AroundFacts = {
  wantedSpanDeg: 360,
  parts: [],
  focalSource: "exif",
  focalFactor: 1,
  upSource: "none",
};

/** All photos stand around one subject and nothing is wrong with it: enough to be known, and no check has a word to say. */
export function knownAround(files: readonly string[]): AroundFacts {
  const cameras = files.map((file, i) => ({
    file,
    azimuthDeg: (360 * i) / files.length,
    // One in three from low down or high up: a ring of six at each height where there are 36.
    elevationDeg: i % 6 === 0 ? 5 : i % 6 === 3 ? 45 : 20,
    uncertaintyDeg: 0.5,
  }));
  const viewsPerDirection = { withinDeg: 60, elevationsDeg: [], azimuthsDeg: [], counts: [] };
  const bands = (
    [
      [5, "low"],
      [20, "middle"],
      [45, "high"],
    ] as const
  ).map(([elevationDeg, name]) => ({
    name,
    photos: cameras.filter((camera) => camera.elevationDeg === elevationDeg).map(({ file }) => file),
    spanDeg: 360,
    closed: true,
    steps: [],
  }));
  const part = {
    photos: files,
    confidence: 0.9,
    cameras,
    closed: true,
    bands,
    bandGaps: [],
    viewsPerDirection,
  };
  return { ...notPlaced, parts: [part] };
}

/** The same facts with all known that a pass needs. */
export function withEvidence(about: Facts): Facts {
  const photos = about.photos.map((one) => ({ ...one, subject: one.subject ?? subject() }));
  return {
    ...about,
    photos,
    around: about.around.parts.length > 0 ? about.around : knownAround(photos.map(({ file }) => file)),
  };
}

/** A set of good photos in a row, with what is named here put in its place. */
export function facts(photos: readonly PhotoFacts[], change: Partial<Facts> = {}): Facts {
  return {
    folder: "stoneware-jug",
    orderedBy: "capture time",
    photos,
    pairs: photos.slice(1).map((second, index) => pair(photos[index]!.file, second.file)),
    around: notPlaced,
    unreadable: [],
    unsupported: [],
    otherFiles: 0,
    ...change,
  };
}

/** A finding with plain words where none are given. */
export function finding(change: Partial<Finding> & Pick<Finding, "check" | "severity" | "photos">): Finding {
  const { check, about = "photo", severity, photos, message, advice, ...figures } = change;
  return {
    check,
    about,
    severity,
    photos,
    ...figures,
    message: message ?? "Something is wrong.",
    advice: advice ?? "Put it right.",
  };
}

/** The report on facts, judged by all checks. */
export function judgedReport(about: Facts): Report {
  return reportOf(about, judge(about));
}

export interface Said {
  readonly findings?: readonly Finding[];
  readonly skipped?: readonly Skipped[];
  readonly strict?: boolean;
}

/** A report of checks that say just this; verdicts and all else are settled as they always are. */
export function report(about: Facts, { findings = [], skipped = [], strict = false }: Said = {}): Report {
  const ids = [...new Set([...findings, ...skipped].map(({ check }) => check))];
  const saying = ids.map(
    (id): Check => ({
      ...explanation,
      id,
      judge: () => ({
        // Whether good photos cover the view is not what these reports are about.
        findings: findings.filter((one) => one.check === id).map((one) => ({ ...one, alwaysReshoot: true })),
        skipped: skipped.filter((one) => one.check === id),
      }),
    }),
  );
  const judgement = judgeWith([unreadablePhoto as Check, ...saying], withEvidence(about), defaultLimits, {
    strict,
  });
  return reportOf(about, judgement);
}

const explanation = {
  serves: "whole-folder" as const,
  title: "",
  measures: "",
  why: "",
  advice: "",
  limits: {},
};

function reportOf(about: Facts, judgement: Judgement): Report {
  return {
    tool: { name: "goodgate", version: "0.0.0" },
    facts: about,
    judgement,
    counts: countsOf(about, judgement),
  };
}

/** Facts whose pairs say nothing of exposure and colour, so that they deny nothing either. */
export function withoutDrifts(about: Facts): Facts {
  return { ...about, pairs: about.pairs.map(({ exposureDriftStops: _, colourDrift: __, ...one }) => one) };
}
