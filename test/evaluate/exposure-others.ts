/** What is said of burnt out photos and of twins, on rendered photos with known truth. */

import { blownPhoto } from "#goodgate/checks/blown-photo.js";
import { twinPhotos } from "#goodgate/checks/twin-photos.js";
import { scaleChannels } from "#goodgate/demo/faults.js";
import { cleanDemo, handHeld, planSet, renderLinear, spoil } from "#goodgate/demo/index.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { measurePhoto, type PhotoMeasurement } from "#goodgate/measure/photo/photo.js";
import type { RgbImage } from "#goodgate/types/pixels.js";
import type { DrawnWalk } from "./exposure-walks.js";
import type { Section } from "./table.js";

/** Every third photo of a walk: 12 of each. */
const STEP = 3;

/** Share of 2 channels at the top in the middle half: what was measured before, to compare. */
function clippedTwo({ width, height, data }: RgbImage): number {
  let two = 0;
  let all = 0;
  for (let y = height >> 2; y < (3 * height) >> 2; y++) {
    for (let x = width >> 2; x < (3 * width) >> 2; x++, all++) {
      const at = 3 * (y * width + x);
      if ([0, 1, 2].filter((c) => data[at + c] >= 250).length >= 2) two++;
    }
  }
  return two / all;
}

export function burntOut(walks: readonly DrawnWalk[]): Section {
  const limit = blownPhoto.limits.centre.value;
  const taken = (walk: DrawnWalk, i: number, stops: readonly [number, number, number]): RgbImage => {
    const [red, green, blue] = stops;
    const image = scaleChannels(walk.image(i), { red, green, blue });
    return spoil(image, [], { iso: 125, softnessPx: 0, exposureStops: 0, noiseSeed: i });
  };
  const shots = walks.flatMap((walk, k) =>
    walk.plan.photos.flatMap((_, i) => (i % STEP === 0 ? [{ walk, i, dark: k === walks.length - 1 }] : [])),
  );
  const measured = (stops: (dark: boolean) => readonly [number, number, number]) =>
    shots.map(({ walk, i, dark }) => {
      const picture = taken(walk, i, stops(dark));
      return {
        now: measurePhoto(picture, 1).measures.clippedCentreRatio.value > limit,
        before: clippedTwo(picture) > limit,
      };
    });
  const share = (of: readonly { now: boolean; before: boolean }[], which: "now" | "before") =>
    of.filter((one) => one[which]).length / of.length;
  const burnt = measured((dark) => (dark ? [5.5, 5.5, 5.5] : [3.5, 3.5, 3.5]));
  // As the same things in yellow plastic would be: red and green clip, blue shows every edge.
  const yellow = measured((dark) => (dark ? [5.5, 5.5, 1] : [3.5, 3.5, -1]));
  const right = measured(() => [0, 0, 0]);
  return {
    title: "Burnt out",
    about: `${shots.length} photos each: 3.5 stops over (5.5 of the dark prop), the same with blue 4.5 stops lower, and as they should be. Judged by the middle of the frame.`,
    rows: [
      { what: "burnt out photos caught, share", measured: [share(burnt, "now")], bar: [0.8], atLeast: true },
      {
        what: "yellow photos with detail in blue accused, share",
        measured: [share(yellow, "now")],
        bar: [0.01],
      },
      { what: "the same by two channels at the top, as before", measured: [share(yellow, "before")] },
      { what: "good photos accused, share", measured: [share(right, "now")], bar: [0.01] },
    ],
  };
}

export function twins(walks: readonly DrawnWalk[]): Section {
  const { leastShift, alike, matches } = twinPhotos.limits;
  const isTwin = (a: PhotoMeasurement, b: PhotoMeasurement, withSupport: boolean): boolean => {
    const { facts } = measurePair(a.features, b.features, 1);
    return (
      (facts.shiftRatio ?? 1) < (withSupport ? leastShift.value : 0.004) &&
      (!withSupport || facts.verifiedMatches >= alike.value * Math.min(a.features.count, b.features.count)) &&
      facts.verifiedMatches >= matches.value
    );
  };
  const plan = planSet({
    ...cleanDemo,
    widthPx: 800,
    heightPx: 600,
    seed: 6,
    jitter: { ...handHeld, softnessPx: 0 },
    portraitShare: 0,
    walk: "turned",
    rings: [{ elevationDeg: 20, photos: 24, startDeg: 0, spanDeg: 360 }],
  });
  const measure = (picture: RgbImage) => measurePhoto(picture, 1);
  const own = (noiseSeed: number) => ({ iso: 125, softnessPx: 0, exposureStops: 0, noiseSeed });
  const turned = plan.photos.map((_, i) => measure(spoil(renderLinear(plan, i).image, [], own(i))));
  const pairsTurned = turned.flatMap((a, i) => turned.slice(i + 1).map((b) => [a, b] as const));
  const walked = walks.map((walk) =>
    walk.plan.photos.map((_, i) => measure(spoil(walk.image(i), [], own(i)))),
  );
  const steps = walked.flatMap((photos) => photos.slice(1).map((b, i) => [photos[i]!, b] as const));
  const again = walks.flatMap((walk, k) =>
    walk.plan.photos.flatMap((_, i) =>
      i % 2 === 0
        ? [[walked[k]![i]!, measure(movedBy(2, spoil(walk.image(i), [], own(1000 + i))))] as const]
        : [],
    ),
  );
  const share = (of: readonly (readonly [PhotoMeasurement, PhotoMeasurement])[], withSupport = true) =>
    of.filter(([a, b]) => isTwin(a, b, withSupport)).length / of.length;
  return {
    title: "Twins",
    about: `${again.length} photos taken again from the same place, moved by 2 px with new noise; ${steps.length} steps of 20 degrees; ${pairsTurned.length} pairs of a subject turned before a still background, 15 to 345 degrees apart. By the pair alone, as where no place is known.`,
    rows: [
      { what: "twins caught, share", measured: [share(again)], bar: [0.8], atLeast: true },
      { what: "steps called twins, share", measured: [share(steps)], bar: [0.01] },
      { what: "turned subjects called twins, share", measured: [share(pairsTurned)], bar: [0.01] },
      { what: "the same by their shift alone, as before", measured: [share(pairsTurned, false)] },
    ],
  };
}

/** A picture moved along x, its edge repeated. */
function movedBy(px: number, { width, height, data }: RgbImage): RgbImage {
  const out = new Uint8Array(data.length);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const from = 3 * (y * width + Math.min(width - 1, x + px));
      for (let c = 0; c < 3; c++) out[3 * (y * width + x) + c] = data[from + c];
    }
  }
  return { width, height, data: out };
}
