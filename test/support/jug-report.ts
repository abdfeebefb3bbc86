import type { Facts, LightFacts, Limit, Report } from "#goodgate/types.js";
import { aroundParts } from "./around.js";
import { facts, finding, jugNames, m, pair, photo, report } from "./facts.js";

const softLimit: Limit = {
  value: -0.5,
  unit: "stops",
  source: "spread of sharp neighbours, made up for this test",
};
const overlapLimit: Limit = { value: 0.5, unit: "ratio", source: "made up for this test" };
const gapLimit: Limit = { value: 25, unit: "degrees", source: "made up for this test" };
const retake =
  "Stand where you stood, hold the phone with both hands, let it focus on the jug, and take it again.";

/** A set that shows every part of the report: each severity, each kind of finding, files that are no photo. */
export function jugFacts(): Facts {
  const soft: Readonly<Record<number, number>> = { 5: -0.9, 12: -1.42, 13: -0.97, 14: -0.81, 30: -0.66 };
  const photos = jugNames(48).map((file, index) => {
    const number = index + 1;
    if (soft[number] !== undefined)
      return photo(file, { measures: { sharpnessOffsetStops: m(soft[number], "stops") } });
    if (number === 21) return photo(file, { measures: { exposureOffsetStops: m(0.71, "stops") } });
    if (number === 30) return photo(file, { measures: { clippedAnyRatio: m(0.184, "ratio") } });
    if (number === 40) return stray(file);
    return photo(file, {
      measures: {
        sharpnessOffsetStops: m(0.05 * Math.sin(number), "stops"),
        exposureOffsetStops: m(0.04 * Math.cos(2 * number), "stops"),
      },
    });
  });
  const names = photos.map(({ file }) => file);
  const pairs = names.slice(1).flatMap((second, index) => {
    const first = names[index]!;
    if (first === names[39] || second === names[39])
      return [{ a: first, b: second, verifiedMatches: 0, verifiedRatio: 0 }];
    return [pair(first, second, { overlapRatio: first === names[24] ? 0.31 : 0.7 + 0.05 * Math.sin(index) })];
  });
  return facts(photos, {
    pairs,
    around: jugAround(names),
    light: jugLight(names),
    unreadable: [{ file: "jug_049.jpg", reason: "the file ends in the middle of the picture" }],
    unsupported: [{ file: "IMG_2207.DNG", kind: "raw" }],
    otherFiles: 2,
  });
}

/** Two rings with a hole of 44 degrees in the lower one, three photos from above, and the stray nowhere. */
function jugAround(names: readonly string[]) {
  const stands = names.flatMap((file, index) => {
    if (index === 39) return [];
    if (index < 24)
      return [{ file, azimuthDeg: index < 10 ? index * 14 : index * 14 + 30, elevationDeg: 10 }];
    if (index < 45) return [{ file, azimuthDeg: ((index - 24) * 17.2) % 360, elevationDeg: 32 }];
    return [{ file, azimuthDeg: (index - 45) * 120, elevationDeg: 78 }];
  });
  const stray = names.slice(39, 40).map((file) => ({ file, azimuthDeg: 0, elevationDeg: 0 }));
  return aroundParts([stands, stray], { turnedSubject: false });
}

/** Two lamps, one a stop brighter; the stray photo shows no jug. */
function jugLight(names: readonly string[]): LightFacts {
  return {
    exposureSource: "exif",
    swing: {
      swingStops: 0.91,
      oneSidedStops: 0.52,
      twoSidedStops: 0.33,
      darkSideDeg: 141.5,
      darkPhotos: names.slice(8, 12),
      binStops: [-2.1, -2.2, -2.3, -2.6, null, -2.7, -2.5, -2.4, -2.2, -2, -1.8, -1.9],
    },
    step: { before: names[20], after: names[21], stops: 0.02, redStops: 0.01, blueStops: -0.01 },
    photos: names.map((file, index) =>
      index === 39
        ? { file }
        : {
            file,
            subjectStops: -2.2,
            highlightRatio: 0.004,
            shadowRatio: 0.012,
            followedRatio: 0.93,
            airyDiameterPx: 1.42,
            ...(index === 0 && { subjectDepthMm: 86, depthOfFieldMm: 412 }),
          },
    ),
  };
}

/** A photo that links to nothing, so that nothing solved is known of it, and EXIF was stripped. */
function stray(file: string) {
  const made = photo(file, {
    exif: { hasLocation: false },
    measures: { linkedPhotos: m(0, "photos"), comparedPhotos: m(47, "photos") },
  });
  const { exposureOffsetStops, redOffsetStops, blueOffsetStops, sharpnessOffsetStops, ...measures } =
    made.measures;
  return { ...made, measures };
}

export function jugReport(): Report {
  const soft = (number: string, blur: string, offset: number) =>
    finding({
      check: "soft-photo",
      severity: "reshoot",
      photos: [`jug_${number}.jpg`],
      measured: m(offset, "stops"),
      limit: softLimit,
      message: `jug_${number}.jpg is out of focus: about ${blur} px of blur on surfaces that the photos beside it show sharp.`,
      advice: retake,
    });
  return report(jugFacts(), {
    findings: [
      soft("012", "3.1", -1.42),
      soft("013", "2.4", -0.97),
      soft("014", "2.2", -0.81),
      soft("030", "2", -0.66),
      finding({
        check: "blown-photo",
        severity: "reshoot",
        photos: ["jug_030.jpg"],
        measured: m(0.184, "ratio"),
        limit: { value: 0.03, unit: "ratio", source: "made up for this test" },
        message: "In jug_030.jpg the glaze is burnt out to plain white, so its surface is lost.",
        advice: "Turn the lamp away or lower the exposure by one stop, and take it again.",
      }),
      finding({
        check: "unreadable-photo",
        severity: "reshoot",
        photos: ["jug_049.jpg"],
        message: "jug_049.jpg cannot be read: the file ends in the middle of the picture.",
        advice: "Copy it from the phone again; if that fails, take it again.",
      }),
      finding({
        check: "gap",
        about: "between",
        severity: "reshoot",
        photos: ["jug_010.jpg", "jug_011.jpg"],
        measured: m(43.3, "degrees"),
        limit: gapLimit,
        message:
          "Between jug_010.jpg and jug_011.jpg is a gap of 43 degrees low down, at about 11 o'clock (jug_001.jpg is at 6).",
        advice: "Stand between these two places and take 2 more photos in even steps.",
        toAdd: 2,
      }),
      finding({
        check: "weak-link",
        about: "between",
        severity: "reshoot",
        photos: ["jug_025.jpg", "jug_026.jpg"],
        measured: m(0.31, "ratio"),
        limit: overlapLimit,
        message: "jug_025.jpg and jug_026.jpg show too little of the same surface to be joined.",
        advice: "Stand between the two places and add one photo.",
        toAdd: 1,
      }),
      finding({
        check: "stray-photo",
        severity: "reshoot",
        photos: ["jug_040.jpg"],
        measured: m(0, "matches"),
        limit: { value: 25, unit: "matches", source: "made up for this test" },
        message: "jug_040.jpg shows nothing that any other photo shows.",
        advice: "Move it out of the folder, or take it again where the jug fills the picture.",
      }),
      finding({
        check: "soft-photo",
        severity: "leave-out",
        photos: ["jug_005.jpg"],
        measured: m(-0.9, "stops"),
        limit: softLimit,
        message: "jug_005.jpg is out of focus, but jug_004.jpg and jug_006.jpg show all of its view.",
        advice: "Move it out of the folder, then run again.",
      }),
      finding({
        check: "exposure-step",
        severity: "edit",
        photos: ["jug_021.jpg"],
        measured: m(0.71, "stops"),
        limit: { value: 0.5, unit: "stops", source: "made up for this test" },
        message: "jug_021.jpg is brighter than the photos around it, though nothing is burnt out.",
        advice: "Darken it by 0.7 stops in a photo editor, or take it again with the exposure locked.",
      }),
      finding({
        check: "slow-shutter",
        severity: "note",
        photos: [
          ...jugNames(9),
          "jug_017.jpg",
          "jug_019.jpg",
          "jug_033.jpg",
          "jug_035.jpg",
          "jug_041.jpg",
          "jug_047.jpg",
        ],
        message: "These photos were taken with a slower shutter than hands hold still.",
        advice: "More light, or rest the phone on something.",
      }),
      finding({
        check: "stored-location",
        about: "set",
        severity: "note",
        photos: [],
        message: "Some of the files tell where they were taken.",
        advice: "Remove the location before you pass them on, if the place is private.",
      }),
    ],
    skipped: [
      { check: "zoomed-photo", photos: ["jug_040.jpg"], reason: "no camera settings are stored in the file" },
      { check: "slow-shutter", photos: ["jug_040.jpg"], reason: "no camera settings are stored in the file" },
      { check: "too-many-photos", photos: [], reason: "--at-most was not given" },
    ],
    limits: {
      "soft-photo": { softer: softLimit },
      "weak-link": { overlap: overlapLimit },
      gap: { step: gapLimit },
    },
  });
}

/** A set without fault. */
export function cleanReport(): Report {
  return report(facts(jugNames(36).map((file) => photo(file))));
}
