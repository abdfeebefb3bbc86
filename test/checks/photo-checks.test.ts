import { describe, expect, test } from "vitest";
import { blockedPhoto } from "#goodgate/checks/blocked-photo.js";
import { blownPhoto } from "#goodgate/checks/blown-photo.js";
import { colourCast } from "#goodgate/checks/colour-cast.js";
import { crushedPhoto } from "#goodgate/checks/crushed-photo.js";
import type { Check, Draft } from "#goodgate/checks/define.js";
import { exposureStep } from "#goodgate/checks/exposure-step.js";
import { fewPixels } from "#goodgate/checks/few-pixels.js";
import { judge } from "#goodgate/checks/index.js";
import { noisyPhoto } from "#goodgate/checks/noisy-photo.js";
import { slowShutter } from "#goodgate/checks/slow-shutter.js";
import { softPhoto } from "#goodgate/checks/soft-photo.js";
import { storedLocation } from "#goodgate/checks/stored-location.js";
import { zoomedPhoto } from "#goodgate/checks/zoomed-photo.js";
import { addedBlur } from "#goodgate/measure/photo/blur-model.js";
import type { Exif } from "#goodgate/types/exif.js";
import type { PhotoFacts, PhotoMeasures } from "#goodgate/types/facts.js";
import type { PairFacts } from "#goodgate/types/pair.js";
import { facts, jugNames, m, pair, photo, withoutDrifts } from "../support/facts.js";

const odd = "jug_005.jpg";

/** Nine plain photos, the fifth of them changed. */
function nine(
  change: Partial<Omit<PhotoFacts, "measures">> & { readonly measures?: Partial<PhotoMeasures> },
  others: Parameters<typeof photo>[1] = {},
) {
  return withoutDrifts(facts(jugNames(9).map((file) => photo(file, file === odd ? change : others))));
}

const withExif = (change: Partial<Exif>) => ({ exif: { ...photo("x.jpg").exif, ...change } });
const judged = <Name extends string>(check: Check<Name>, about: ReturnType<typeof facts>) =>
  check.judge(about, check.limits);

/** What every finding owes its reader. */
function complete(finding: Draft): void {
  expect(finding.message).toMatch(/^\S.*\.$/);
  expect(finding.advice).toMatch(/^\S.*\.$/);
  expect(finding.message).not.toMatch(/undefined|NaN|Infinity/);
  if (finding.limit !== undefined) expect(finding.measured?.unit).toBe(finding.limit.unit);
}

/** Nothing in it has edges to tell sharpness by. */
const edgeless = { edgeWidthsPx: new Array<null>(8).fill(null) };

/** Just under, at and just over a number. */
const around = (value: number, by = 0.01) => [value - by, value, value + by] as const;

describe("blown-photo", () => {
  const at = (value: number) =>
    judged(blownPhoto, nine({ measures: { clippedCentreRatio: m(value, "ratio") } })).findings;
  const [below, exactly, above] = around(blownPhoto.limits.centre.value, 0.001);

  test("passes below and at the limit and fails above it", () => {
    expect(at(below)).toEqual([]);
    expect(at(exactly)).toEqual([]);
    expect(at(above)).toMatchObject([{ about: "photo", severity: "reshoot", photos: [odd] }]);
    complete(at(above)[0]!);
  });

  test("the sentence never shows the limit itself as the fault", () => {
    expect(at(above)[0]!.message).not.toContain(` ${100 * exactly} %`);
    expect(at(above)[0]!.message).toContain(`${(100 * above).toFixed(1)} %`);
  });
});

describe("blocked-photo", () => {
  const at = (blocked: number, mean: number) =>
    judged(
      blockedPhoto,
      nine({ measures: { blockedRatio: m(blocked, "ratio"), meanLuminanceStops: m(mean, "stops") } }),
    ).findings;
  const { whole, darkest } = blockedPhoto.limits;

  test("needs more black than the limit and a mean darker than the limit", () => {
    const [below, exactly, above] = around(whole.value);
    const dark = darkest.value - 0.1;
    expect(at(below, dark)).toEqual([]);
    expect(at(exactly, dark)).toEqual([]);
    expect(at(above, dark)).toMatchObject([{ severity: "reshoot", photos: [odd] }]);
    expect(at(above, darkest.value)).toEqual([]);
    complete(at(above, dark)[0]!);
  });
});

describe("exposure-step", () => {
  const flat = { measures: { exposureOffsetStops: m(0, "stops") } };
  const at = (value: number) =>
    judged(exposureStep, nine({ measures: { exposureOffsetStops: m(value, "stops") } }, flat)).findings;
  const limit = exposureStep.limits.step.value;

  test("both ways: passes below the limit, speaks at and above it", () => {
    for (const sign of [1, -1]) {
      expect(at(sign * (limit - 0.01))).toEqual([]);
      expect(at(sign * limit)).toMatchObject([{ severity: "edit", photos: [odd] }]);
      expect(at(sign * (limit + 0.01))).toMatchObject([{ severity: "edit", photos: [odd] }]);
    }
    expect(at(1)[0]!.message).toContain("1 stop brighter");
    expect(at(1)[0]!.advice).toContain("1 stop darker");
    expect(at(-1.3)[0]!.message).toContain("1.3 stops darker");
    complete(at(1)[0]!);
  });

  const stepped = (stops: readonly number[], pairs: readonly PairFacts[] = []) =>
    judged(
      exposureStep,
      facts(
        jugNames(stops.length).map((file, i) =>
          photo(file, { measures: { exposureOffsetStops: m(stops[i]!, "stops") } }),
        ),
        { pairs },
      ),
    );

  test("a drift within the limit is a note, and beyond it one instruction for the whole set", () => {
    const drift = (total: number) =>
      stepped(Array.from({ length: 40 }, (_, i) => total * (i / 39 - 0.5))).findings;
    expect(drift(0.3)).toEqual([]);
    expect(drift(0.7)).toMatchObject([{ about: "set", severity: "note" }]);
    for (const total of [1, 2, 3]) {
      expect(drift(total)).toMatchObject([{ about: "set", severity: "edit", photos: [] }]);
      expect(drift(total)[0]!.advice).toContain("whole set");
    }
    complete(drift(1)[0]!);
  });

  test("photos off by the same amount are one instruction: a run, and every second photo", () => {
    const names = jugNames(20);
    const [run, ...none] = stepped(
      names.map((_, i) => (i >= 5 && i < 12 ? 0.7 + 0.02 * (i % 3) : 0)),
    ).findings;
    expect(none).toEqual([]);
    expect(run!.photos).toEqual(names.slice(5, 12));
    expect(run!.message).toContain("jug_006.jpg to jug_012.jpg are 0.7 stops brighter");
    const [second, ...others] = stepped(names.map((_, i) => (i % 2 === 0 ? -0.8 : 0))).findings;
    expect(others).toEqual([]);
    expect(second!.photos).toHaveLength(10);
    complete(second!);
  });

  test("more than six amounts become one instruction", () => {
    const amounts = [0.5, 0.9, 1.3, 1.7, -0.5, -0.9, -1.3];
    const of = (count: number) =>
      stepped(
        Array.from({ length: 40 }, (_, i) => (i % 5 === 0 ? (amounts.slice(0, count)[i / 5] ?? 0) : 0)),
      );
    expect(of(6).findings).toHaveLength(6);
    expect(of(7).findings).toHaveLength(1);
    expect(of(7).findings).toMatchObject([{ about: "set", photos: [] }]);
    expect(of(7).findings[0]!.message).toContain("7 photos are off by 0.4 stops and more");
  });

  test("more photos far from the rest change nothing in what is said of the others", () => {
    const near = jugNames(24).map((_, i) => (i === 3 || i === 4 ? 0.41 : i === 9 ? -0.39 : 0.02 * (i % 3)));
    const said = (stops: readonly number[]) =>
      stepped(stops).findings.filter(({ photos }) => !photos.includes(jugNames(25)[24]!));
    for (const far of [1, -2, 3]) expect(said([...near, far])).toEqual(said(near));
    expect(said(near)).toMatchObject([{ photos: ["jug_004.jpg", "jug_005.jpg"] }]);
  });

  test("what a photo's own pairs deny is not said, and the photo is skipped with the reason", () => {
    const stops = jugNames(10).map((_, i) => (i === 4 ? -1.1 : 0));
    const link = (drift: number) => [
      pair("jug_004.jpg", odd, { exposureDriftStops: drift }),
      pair(odd, "jug_006.jpg", { exposureDriftStops: -drift }),
    ];
    expect(stepped(stops, link(-1.05)).findings).toHaveLength(1);
    const denied = stepped(stops, link(-0.02));
    expect(denied.findings).toEqual([]);
    expect(denied.skipped).toMatchObject([{ photos: [odd] }]);
  });

  test("of a shiny subject only what EXIF bears out is said", () => {
    const names = jugNames(10);
    const shiny = (ev100: number | undefined) => {
      const about = facts(
        names.map((file, i) => ({
          ...photo(file, { measures: { exposureOffsetStops: m(i === 4 ? 1 : 0, "stops") } }),
          exif: { hasLocation: false, ...(ev100 === undefined ? {} : { ev100: i === 4 ? ev100 : 7 }) },
        })),
        { pairs: [] },
      );
      const light = {
        photos: names.map((file) => ({ file, highlightRatio: 0.06 })),
        exposureSource: "exif",
      } as const;
      return judged(exposureStep, { ...about, light });
    };
    expect(shiny(7).findings).toEqual([]);
    expect(shiny(6).findings).toHaveLength(1);
    expect(shiny(undefined)).toMatchObject({ findings: [], skipped: [{ photos: [] }] });
  });

  test("a photo without the measure is skipped with the reason", () => {
    const about = nine({});
    const bare = about.photos.map((one) => {
      if (one.file !== odd) return one;
      const { exposureOffsetStops: _, ...measures } = one.measures;
      return { ...one, measures };
    });
    const outcome = judged(exposureStep, { ...about, photos: bare });
    expect(outcome.findings).toEqual([]);
    expect(outcome.skipped).toMatchObject([{ photos: [odd] }]);
    expect(outcome.skipped[0]!.reason).not.toBe("");
  });
});

describe("colour-cast", () => {
  const flat = { measures: { redOffsetStops: m(0, "stops"), blueOffsetStops: m(0, "stops") } };
  const at = (red: number, blue: number) =>
    judged(
      colourCast,
      nine({ measures: { redOffsetStops: m(red, "stops"), blueOffsetStops: m(blue, "stops") } }, flat),
    ).findings;
  const limit = colourCast.limits.step.value;

  test("passes below the limit, speaks at and above it, in red or blue", () => {
    expect(at(limit - 0.01, 0.01 - limit)).toEqual([]);
    expect(at(limit, 0)).toMatchObject([{ severity: "edit", photos: [odd] }]);
    expect(at(0, -limit - 0.01)).toMatchObject([{ severity: "edit", photos: [odd] }]);
    complete(at(limit, 0)[0]!);
  });

  test("names only the channel that is off", () => {
    expect(at(0.04, 0.5)[0]!.message).toContain(
      "is bluer than the rest of the set, on the same surface: blue 0.5 stops up",
    );
    expect(at(0.5, -0.04)[0]!.message).toContain(
      "redder than the rest of the set, on the same surface: red 0.5 stops up",
    );
    expect(at(0.3, -0.3)[0]!.message).toContain("warmer");
  });

  test("names the tint", () => {
    expect(at(0.4, -0.4)[0]!.message).toContain("warmer");
    expect(at(-0.4, 0.4)[0]!.message).toContain("cooler");
    expect(at(0.4, 0)[0]!.message).toContain("redder");
    expect(at(0, -0.4)[0]!.message).toContain("yellower");
  });
});

describe("crushed-photo", () => {
  const at = (value: number) => judged(crushedPhoto, nine({ jpegStep: m(value, "grey levels") })).findings;
  const [below, exactly, above] = around(crushedPhoto.limits.step.value);

  test("passes below and at the limit and fails above it", () => {
    expect(at(below)).toEqual([]);
    expect(at(exactly)).toEqual([]);
    expect(at(above)).toMatchObject([{ about: "photo", severity: "reshoot", photos: [odd] }]);
    complete(at(above)[0]!);
  });

  test("skips files that are no JPEG", () => {
    const { jpegStep: _, ...png } = photo("jug_001.png");
    expect(judged(crushedPhoto, facts([png]))).toMatchObject({
      findings: [],
      skipped: [{ photos: ["jug_001.png"] }],
    });
  });

  test("speaks of the set where most photos are crushed", () => {
    const step = m(2 * crushedPhoto.limits.step.value, "grey levels");
    const { verdict, whatItIs, findings } = judge(
      facts(jugNames(9).map((file) => photo(file, { jpegStep: step }))),
    );
    expect(verdict).toBe("reshoot");
    expect(whatItIs?.message).toMatch(/^The photos are crushed by compression: 9 of 9 /);
    expect(findings).toHaveLength(1);
  });
});

describe("noisy-photo", () => {
  test("passes below and at the limit, notes above it, skips where nothing was measured", () => {
    const [below, exactly, above] = around(noisyPhoto.limits.sigma.value);
    const at = (value: number) =>
      judged(noisyPhoto, nine({ measures: { noiseSigma: m(value, "grey levels") } })).findings;
    expect(at(below)).toEqual([]);
    expect(at(exactly)).toEqual([]);
    expect(at(above)).toMatchObject([{ severity: "note", photos: [odd] }]);
    complete(at(above)[0]!);
    const about = nine({});
    const { noiseSigma: _, ...measures } = about.photos[0]!.measures;
    const outcome = judged(noisyPhoto, { ...about, photos: [{ ...about.photos[0]!, measures }] });
    expect(outcome).toMatchObject({ findings: [], skipped: [{ photos: ["jug_001.jpg"] }] });
  });
});

describe("soft-photo", () => {
  const { blur, blurOfPoor, poor, ratio } = softPhoto.limits;
  const usual = photo("jug_001.jpg").measures;
  const sharp = { detailOffsetStops: m(0, "stops") };
  /** Stops of fine detail that a blur of so many px takes off a photo of the usual band ratio. */
  const dropOf = (px: number): number => {
    let [low, high] = [0, 20];
    for (let i = 0; i < 60; i++) {
      const middle = (low + high) / 2;
      if (addedBlur(middle, usual.bandRatio!.value) < px) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  };
  const lost = (stops: number, ofVariance = stops) => ({
    detailOffsetStops: m(-stops, "stops"),
    laplacianVariance: m(usual.laplacianVariance.value * 2 ** -ofVariance, "grey levels squared"),
  });
  const among = (measures: ReturnType<typeof lost>) =>
    judged(softPhoto, nine({ measures, ...edgeless }, { measures: sharp })).findings;
  /** A photo of so many px of blur, the mean of what the shared surface and the whole frame say. */
  const blurred = (px: number, ofSurface: number) =>
    among(lost(ofSurface, dropOf(2 * px - addedBlur(ofSurface, usual.bandRatio!.value))));

  test("passes below the limit, speaks above it", () => {
    const surface = poor.value - 0.05;
    expect(blurred(blur.value - 0.02, surface)).toEqual([]);
    const [found] = blurred(blur.value + 0.02, surface);
    expect(found).toMatchObject({ severity: "reshoot", photos: [odd], limit: blur });
    complete(found!);
  });

  test("where the shared surface has lost much, a smaller blur is enough", () => {
    expect(blurred(blurOfPoor.value - 0.02, poor.value)).toEqual([]);
    expect(blurred(blurOfPoor.value + 0.02, poor.value)).toMatchObject([
      { severity: "reshoot", photos: [odd], limit: blurOfPoor },
    ]);
    expect(blurred(blurOfPoor.value + 0.02, poor.value - 0.05)).toEqual([]);
  });

  test("where the photo's own edges are known and sharp, it takes a larger blur, or all detail gone", () => {
    const { blurOfNarrow, gone } = softPhoto.limits;
    const sharpEdged = (px: number, ofSurface: number) => {
      const measures = lost(ofSurface, dropOf(2 * px - addedBlur(ofSurface, usual.bandRatio!.value)));
      return judged(softPhoto, nine({ measures }, { measures: sharp })).findings;
    };
    expect(sharpEdged(blurOfNarrow.value - 0.02, poor.value)).toEqual([]);
    expect(sharpEdged(blurOfNarrow.value + 0.02, poor.value)).toMatchObject([{ limit: blurOfNarrow }]);
    expect(sharpEdged(blurOfNarrow.value - 0.02, gone.value)).toMatchObject([{ limit: blur }]);
  });

  test("previews of raw photos are compared only with previews of their size", () => {
    const small = { widthPx: 1620, heightPx: 1080, rawPreview: { whole: true } };
    // Every preview holds less fine detail than every photo, as a smaller picture does; none less than its like.
    const preview = (file: string, stops: number) =>
      photo(file, { ...small, ...edgeless, measures: { ...sharp, ...lost(2 * dropOf(blur.value) + stops) } });
    const photos = jugNames(9).map((file) => photo(file, { measures: sharp }));
    const raw = ["a.cr3", "b.cr3", "c.cr3", "d.cr3"];
    const alike = facts([...photos, ...raw.map((file) => preview(file, 0))]);
    expect(judged(softPhoto, alike)).toEqual({ findings: [], skipped: [] });
    const oneSoft = facts([
      ...photos,
      ...raw.map((file) => preview(file, file === "c.cr3" ? dropOf(blur.value + 0.1) : 0)),
    ]);
    expect(judged(softPhoto, oneSoft).findings).toMatchObject([{ severity: "reshoot", photos: ["c.cr3"] }]);
    const twoOnly = judged(softPhoto, facts([...photos, preview("a.cr3", 0), preview("b.cr3", 5)]));
    expect(twoOnly.findings).toEqual([]);
    expect(twoOnly.skipped).toEqual([
      {
        photos: ["a.cr3", "b.cr3"],
        reason: "too few other previews of that size to compare with, or nothing in it to judge",
      },
    ]);
  });

  test("a plain side is not soft: the whole frame has little detail, the shared surface has lost none", () => {
    const plain = {
      ...sharp,
      laplacianVariance: m(usual.laplacianVariance.value / 2, "grey levels squared"),
    };
    expect(judged(softPhoto, nine({ measures: plain }, { measures: sharp })).findings).toEqual([]);
  });

  test("a photo that shares no surface is soft only where its band ratio has dropped too", () => {
    const alone = (lostRatio: number) => {
      const about = nine({}, { measures: sharp });
      const photos = about.photos.map((one) => {
        if (one.file !== odd) return one;
        const { detailOffsetStops: _, ...measures } = one.measures;
        const { laplacianVariance } = lost(dropOf(blur.value + 0.2));
        const bandRatio = m(measures.bandRatio!.value * 2 ** -lostRatio, "times");
        return { ...one, ...edgeless, measures: { ...measures, laplacianVariance, bandRatio } };
      });
      return judged(softPhoto, { ...about, photos }).findings;
    };
    expect(alone(ratio.value - 0.01)).toEqual([]);
    expect(alone(ratio.value + 0.01)).toMatchObject([{ photos: [odd], limit: blur }]);
  });

  test("a run of five soft photos is named whole, its sharp neighbours are not", () => {
    const run = jugNames(24).slice(9, 14);
    const about = facts(
      jugNames(24).map((file) => photo(file, { measures: run.includes(file) ? lost(dropOf(1.5)) : sharp })),
    );
    expect(judged(softPhoto, about).findings.flatMap(({ photos }) => photos)).toEqual(run);
  });

  test("two photos are too few to compare", () => {
    const outcome = judged(softPhoto, facts(jugNames(2).map((file) => photo(file, edgeless))));
    expect(outcome.findings).toEqual([]);
    expect(outcome.skipped).toMatchObject([{ photos: jugNames(2) }]);
  });
});

describe("few-pixels", () => {
  // Height 1000: width in thousands is megapixels.
  const sized = (megapixels: number) => ({ widthPx: 1000 * megapixels, heightPx: 1000 });
  const [below, exactly, above] = around(fewPixels.limits.fewest.value);

  test("notes below the limit, passes at and above it", () => {
    expect(judged(fewPixels, nine(sized(above))).findings).toEqual([]);
    expect(judged(fewPixels, nine(sized(exactly))).findings).toEqual([]);
    const [finding] = judged(fewPixels, nine(sized(below))).findings;
    expect(finding).toMatchObject({ severity: "note", photos: [odd] });
    expect(finding!.message).toContain(`${odd} is small`);
    complete(finding!);
  });

  test("a small preview of a raw photo does not say that the photo is small", () => {
    const outcome = judged(fewPixels, nine({ ...sized(below), rawPreview: { whole: true } }));
    expect(outcome).toEqual({
      findings: [],
      skipped: [{ photos: [odd], reason: "only the preview inside the raw photo was looked at" }],
    });
  });

  test("many are one note that does not count them", () => {
    const { findings } = judged(fewPixels, nine(sized(below), sized(below)));
    expect(findings).toHaveLength(1);
    expect(findings[0]!.photos).toHaveLength(9);
    expect(findings[0]!.message).not.toMatch(/^\d/);
    complete(findings[0]!);
  });
});

describe("slow-shutter", () => {
  const focal = 25;
  const shot = (factor: number) => withExif({ focalLength35Mm: focal, exposureTimeS: factor / focal });
  const limit = slowShutter.limits.handHeld.value;

  test("passes below and at the limit and notes above it", () => {
    expect(judged(slowShutter, nine(shot(limit - 0.01))).findings).toEqual([]);
    expect(judged(slowShutter, nine(shot(limit))).findings).toEqual([]);
    const [finding] = judged(slowShutter, nine(shot(limit + 0.1))).findings;
    expect(finding).toMatchObject({ severity: "note", photos: [odd] });
    complete(finding!);
    const many = judged(slowShutter, nine(shot(limit + 1), shot(limit + 1))).findings;
    expect(many).toHaveLength(1);
    expect(many[0]!.message).not.toMatch(/^\d/);
  });

  test("is skipped without EXIF, not passed in silence", () => {
    expect(judged(slowShutter, nine({ exif: { hasLocation: false } }))).toMatchObject({
      findings: [],
      skipped: [{ photos: [odd] }],
    });
  });
});

describe("stored-location", () => {
  test("notes the photos that have one, and speaks of one and of many", () => {
    expect(judged(storedLocation, nine({})).findings).toEqual([]);
    const one = judged(storedLocation, nine(withExif({ hasLocation: true }))).findings;
    expect(one).toMatchObject([
      { severity: "note", photos: [odd], message: `${odd} says where it was taken.` },
    ]);
    const all = judged(
      storedLocation,
      nine(withExif({ hasLocation: true }), withExif({ hasLocation: true })),
    );
    expect(all.findings).toMatchObject([{ message: "These photos say where they were taken." }]);
    expect(all.findings[0]!.photos).toHaveLength(9);
  });
});

describe("zoomed-photo", () => {
  const { change, shareOnPurpose } = zoomedPhoto.limits;
  const zoomed = (factor: number) => withExif({ focalLength35Mm: 100 * factor });
  const usual = zoomed(1);

  test("longer or shorter: passes below and at the limit and fails above it", () => {
    for (const power of [1, -1]) {
      expect(judged(zoomedPhoto, nine(zoomed((change.value - 0.01) ** power), usual)).findings).toEqual([]);
      const found = judged(zoomedPhoto, nine(zoomed((change.value + 0.01) ** power), usual)).findings;
      expect(found).toMatchObject([{ severity: "reshoot", photos: [odd] }]);
      complete(found[0]!);
    }
    expect(judged(zoomedPhoto, nine(zoomed(change.value), usual)).findings).toEqual([]);
  });

  test("digital zoom counts", () => {
    const digital = withExif({ focalLength35Mm: 100, digitalZoom: 2 });
    expect(judged(zoomedPhoto, nine(digital, usual)).findings).toMatchObject([{ photos: [odd] }]);
  });

  test("more than the share at another lens is taken for intent: one note", () => {
    const number = 20;
    const mixed = (odds: number) =>
      facts(jugNames(number).map((file, i) => photo(file, i < odds ? zoomed(2) : usual)));
    const most = Math.floor(shareOnPurpose.value * number);
    expect(judged(zoomedPhoto, mixed(most)).findings).toHaveLength(most);
    const [note, ...more] = judged(zoomedPhoto, mixed(most + 1)).findings;
    expect(more).toEqual([]);
    expect(note).toMatchObject({ about: "set", severity: "note" });
    expect(note!.photos).toHaveLength(most + 1);
  });

  test("is skipped without EXIF", () => {
    expect(judged(zoomedPhoto, nine({ exif: { hasLocation: false } })).skipped).toMatchObject([
      { photos: [odd] },
    ]);
  });
});
