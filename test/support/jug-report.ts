import { roundFacts } from "#goodgate/measure/set/round.js";
import type { Exif } from "#goodgate/types/exif.js";
import type { Facts, PhotoFacts } from "#goodgate/types/facts.js";
import type { LightFacts } from "#goodgate/types/light.js";
import type { Report } from "#goodgate/types/report.js";
import { aroundParts, type Stand } from "./around.js";
import { facts, judgedReport, jugNames, m, pair, photo, subject } from "./facts.js";

const names = jugNames(48);
/** The place of a photo by its number, from 1. */
const at = (number: number): number => number - 1;

/** Fine detail that soft photos have lost, stops, by their number. */
const SOFT: Readonly<Record<number, number>> = { 5: 2.9, 12: 4.42, 13: 2.97, 14: 2.86, 30: 3.66 };
const STRAY = at(40);
/** The hole is between this photo and the next. */
const BEFORE_GAP = at(10);
const SLOW = [1, 2, 3, 4, 5, 6, 7, 8, 9, 17, 19, 33, 35, 41, 47].map(at);

/** A set that shows every part of the report: each severity, each kind of finding, files that are no photo. */
export function jugFacts(): Facts {
  const photos = names.map((file, index) => {
    if (index === STRAY) return stray(file);
    const lost = SOFT[index + 1] ?? 0;
    return photo(file, {
      exif: { ...photo(file).exif, ...oddExif(index) },
      measures: {
        sharpnessOffsetStops: m(0.05 * Math.sin(index + 1) - lost / 3, "stops"),
        detailOffsetStops: m(-lost, "stops"),
        exposureOffsetStops: m(index === at(21) ? 0.71 : 0.04 * Math.cos(2 * index + 2), "stops"),
        clippedAnyRatio: m(index === at(30) ? 0.184 : 0.004, "ratio"),
      },
      subject: subject({
        laplacianVariance: m(420 / 2 ** lost, "grey levels squared"),
        detailOffsetStops: m(-lost, "stops"),
        clippedRatio: m(index === at(30) ? 0.93 : 0.01, "ratio"),
      }),
    });
  });
  const strayPairs = [STRAY - 1, STRAY].map((index) => ({
    a: names[index]!,
    b: names[index + 1]!,
    verifiedMatches: 0,
    verifiedRatio: 0,
  }));
  const pairs = names.slice(1).flatMap((b, index) => {
    if (index === STRAY || index + 1 === STRAY) return [];
    const shared = index === BEFORE_GAP ? { overlapRatio: 0.31, supportRatio: 0.1 } : {};
    const brighter = index + 1 === at(21) ? 0.68 : index === at(21) ? -0.69 : 0.01;
    const overlapRatio = 0.7 + 0.05 * Math.sin(index);
    return [pair(names[index]!, b, { overlapRatio, exposureDriftStops: brighter, ...shared })];
  });
  const strayStand = { file: names[STRAY]!, azimuthDeg: 0, elevationDeg: 0 };
  const acrossStray = pair(names[STRAY - 1]!, names[STRAY + 1]!);
  return roundFacts(
    facts(photos, {
      pairs: [...pairs, ...strayPairs, acrossStray],
      around: aroundParts([stands(true), [strayStand]], { turnedSubject: false }),
      light: jugLight(STRAY),
      unreadable: [{ file: "jug_049.jpg", reason: "the file ends in the middle of the picture" }],
      unsupported: [{ file: "IMG_2207.DNG", kind: "raw" }],
      otherFiles: 2,
    }),
  );
}

function oddExif(index: number): Partial<Exif> {
  return {
    ...(SLOW.includes(index) && { exposureTimeS: 1 / 10 }),
    ...((index === at(2) || index === at(3)) && { hasLocation: true }),
  };
}

/**
 * A ring of 24 photos low down, one of 21 at middle height, and three photos from high up.
 *
 * @param faulty with a hole of 44 degrees in the lower ring, and without the stray photo in the other
 */
function stands(faulty: boolean): Stand[] {
  const low = names.slice(0, 24);
  const middle = names.slice(24, 45).filter((file) => !faulty || file !== names[STRAY]);
  const high = names.slice(45);
  const holed = (index: number) =>
    index <= BEFORE_GAP ? 12 * index : 152 + ((index - BEFORE_GAP - 1) * 208) / 14;
  return [
    ...low.map((file, i) => ({ file, azimuthDeg: faulty ? holed(i) : 15 * i, elevationDeg: 8 })),
    ...middle.map((file, i) => ({ file, azimuthDeg: (360 * i) / middle.length, elevationDeg: 36 })),
    ...high.map((file, i) => ({ file, azimuthDeg: 25 * i, elevationDeg: 58 })),
  ];
}

/** Two lamps, one brighter by half; nothing is known of the light on one of the photos, where there is a stray. */
function jugLight(unknown?: number): LightFacts {
  return {
    exposureSource: "exif",
    falloff: {
      falloffStops: 0.91,
      oneSidedStops: 0.52,
      twoSidedStops: 0.33,
      darkSideDeg: 141.5,
      darkPhotos: names.slice(8, 12),
      binStops: [-2.1, -2.2, -2.3, -2.6, null, -2.7, -2.5, -2.4, -2.2, -2, -1.8, -1.9],
    },
    step: { before: names[20]!, after: names[21]!, stops: 0.02, redStops: 0.01, blueStops: -0.01 },
    photos: names.map((file, index) =>
      index === unknown
        ? { file }
        : {
            file,
            subjectStops: -2.2,
            highlightRatio: 0.004,
            shadowRatio: 0.012,
            followedRatio: 0.93,
            airyDiameterPx: 1.42,
            subjectDepthMm: 86,
            depthOfFieldMm: 412,
          },
    ),
  };
}

/** A photo that links to nothing, so that nothing solved is known of it, and EXIF was stripped. */
function stray(file: string): PhotoFacts {
  const made = photo(file, {
    exif: { hasLocation: false },
    measures: { linkedPhotos: m(0, "photos"), comparedPhotos: m(47, "photos") },
  });
  const { exposureOffsetStops, redOffsetStops, blueOffsetStops, sharpnessOffsetStops, ...measures } =
    made.measures;
  return { ...made, measures };
}

export function jugReport(): Report {
  return judgedReport(jugFacts());
}

/** A set without fault. */
export function cleanReport(): Report {
  return judgedReport(
    roundFacts(
      facts(
        names.map((file) => photo(file, { subject: subject() })),
        { around: aroundParts([stands(false)], { turnedSubject: false }), light: jugLight() },
      ),
    ),
  );
}
