import type { Fault, Truth } from "#goodgate/demo/index.js";
import type { Finding } from "#goodgate/types/judgement.js";

/** A finding that the truth asks for: which check names which photos. */
export interface Expected {
  readonly check: string;
  readonly photos: readonly string[];
}

/** Exposure faults this strong burn the subject out, so that no editor mends them. */
const BLOWN_STOPS = 2;

function checkFor(fault: Fault): string | undefined {
  switch (fault.kind) {
    case "defocus":
    case "motion":
      return "soft-photo";
    case "exposure":
      return fault.stops >= BLOWN_STOPS ? "blown-photo" : "exposure-step";
    case "colour-cast":
      return "colour-cast";
    case "noise":
      return "noisy-photo";
    case "zoom":
      return "zoomed-photo";
    case "stray":
      return "stray-photo";
    case "twin":
      return "twin-photos";
    case "location":
      return "stored-location";
    case "focus-plane":
      return fault.plane === "background" ? "missed-focus" : undefined;
    case "cut":
      return "cut-subject";
    case "small":
      return "small-subject";
    case "retake":
      return undefined;
  }
}

/** The findings that a set asks for: one a photo with a fault, one a pair of twins, one a skipped arc. */
export function expectedFindings(truth: Truth): Expected[] {
  return [...faultFindings(truth), ...truth.skippedArcs.map((arc) => gapFinding(arc, truth))];
}

/** A skipped arc leaves a gap between the photos of its ring that stand before and after it. */
function gapFinding({ ring, fromDeg, toDeg }: Truth["skippedArcs"][number], truth: Truth): Expected {
  const stands = truth.photos.filter((photo) => photo.ring === ring && photo.azimuthDeg !== undefined);
  const nearest = (offset: (azimuthDeg: number) => number): string =>
    stands.reduce((a, b) => (offset(b.azimuthDeg!) < offset(a.azimuthDeg!) ? b : a)).file;
  const turn = (degrees: number): number => ((degrees % 360) + 360) % 360;
  const ends = new Set([
    nearest((azimuthDeg) => turn(fromDeg - azimuthDeg)),
    nearest((azimuthDeg) => turn(azimuthDeg - toDeg)),
  ]);
  return { check: "gap", photos: stands.map(({ file }) => file).filter((file) => ends.has(file)) };
}

function faultFindings(truth: Truth): Expected[] {
  return truth.photos.flatMap(({ file, faults }, i) =>
    faults.flatMap((fault) => {
      const check = checkFor(fault);
      if (check === undefined) return [];
      return [{ check, photos: fault.kind === "twin" ? [truth.photos[i - 1].file, file] : [file] }];
    }),
  );
}

/**
 * What the findings and the truth do not agree on, in words; empty where they are equal. Notes of checks that answer
 * no fault (small pictures, a slow shutter said by EXIF) are left aside: they speak of the set-up, not of a fault. So is
 * the frame's edge in a zoomed photo, which may cut the prop or just miss it.
 */
export function differences(findings: readonly Finding[], truth: Truth): string[] {
  const key = ({ check, photos }: Expected): string => `${check}: ${photos.join(", ")}`;
  const expected = new Set(expectedFindings(truth).map(key));
  const answers = new Set(expectedFindings(truth).map(({ check }) => check));
  const zoomed = new Set(
    truth.photos.filter(({ faults }) => faults.some(({ kind }) => kind === "zoom")).map(({ file }) => file),
  );
  const found = new Set(
    findings
      .filter(({ check, severity }) => severity !== "note" || answers.has(check))
      .filter(({ check, photos }) => check !== "cut-subject" || !photos.every((file) => zoomed.has(file)))
      .map(key),
  );
  return [
    ...[...expected].filter((entry) => !found.has(entry)).map((entry) => `not found: ${entry}`),
    ...[...found].filter((entry) => !expected.has(entry)).map((entry) => `found, but not put in: ${entry}`),
  ];
}
