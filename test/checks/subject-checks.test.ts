import { describe, expect, test } from "vitest";
import { blockedPhoto } from "#goodgate/checks/blocked-photo.js";
import { blownPhoto } from "#goodgate/checks/blown-photo.js";
import { cutSubject } from "#goodgate/checks/cut-subject.js";
import type { Check } from "#goodgate/checks/define.js";
import { defaultLimits, judge } from "#goodgate/checks/index.js";
import { mergeLimits } from "#goodgate/checks/limits.js";
import { missedFocus } from "#goodgate/checks/missed-focus.js";
import { noisyPhoto } from "#goodgate/checks/noisy-photo.js";
import { plainSubject } from "#goodgate/checks/plain-subject.js";
import { smallSubject } from "#goodgate/checks/small-subject.js";
import { softPhoto } from "#goodgate/checks/soft-photo.js";
import { subjectLimits } from "#goodgate/checks/subject.js";
import type { Facts, PhotoMeasures, SubjectMeasures } from "#goodgate/types/facts.js";
import { facts, jugNames, m, photo, subject } from "../support/facts.js";

const judged = <Name extends string>(check: Check<Name>, about: Facts) => check.judge(about, check.limits);
const names = jugNames(12);
const odd = names[5]!;

/** Twelve good photos with known subjects, the sixth with what is named here. */
function set(
  own: Partial<SubjectMeasures>,
  whole: Partial<PhotoMeasures> = {},
  all: Partial<SubjectMeasures> = {},
): Facts {
  return facts(
    names.map((file) =>
      photo(file, {
        ...(file === odd ? { measures: whole } : {}),
        subject: subject(file === odd ? { ...all, ...own } : all),
      }),
    ),
  );
}

const namedIn = (about: Facts, check: Check<never> | Check): string[] =>
  judged(check as Check, about).findings.flatMap(({ photos }) => photos);

describe("the subject first", () => {
  test("a burnt-out window behind a sound prop is no burnt-out prop", () => {
    const window = { clippedCentreRatio: m(0.7, "ratio"), clippedAllRatio: m(0.4, "ratio") };
    expect(namedIn(set({}, window), blownPhoto)).toEqual([]);
    expect(namedIn(set({ clippedRatio: m(0.4, "ratio") }), blownPhoto)).toEqual([]);
    expect(namedIn(set({ clippedRatio: m(0.41, "ratio") }), blownPhoto)).toEqual([odd]);
  });

  test("a photo far brighter than those around it is burnt out by the middle of the frame, window or not", () => {
    const { brighter } = blownPhoto.limits;
    const at = (stops: number) => {
      const about = set({}, { clippedCentreRatio: m(0.7, "ratio") });
      const photos = about.photos.map((one) => {
        const exposureOffsetStops = m(one.file === odd ? stops : 0, "stops");
        return { ...one, measures: { ...one.measures, exposureOffsetStops } };
      });
      return namedIn({ ...about, photos }, blownPhoto);
    };
    expect(at(brighter.value - 0.01)).toEqual([]);
    expect(at(brighter.value)).toEqual([odd]);
  });

  test("where it is not known which pixels are the subject's, the middle of the frame speaks", () => {
    const window = { clippedCentreRatio: m(0.7, "ratio") };
    const least = subjectLimits.confidence.value;
    expect(namedIn(set({ confidence: m(least - 0.01, "ratio") }, window), blownPhoto)).toEqual([odd]);
    expect(namedIn(set({ confidence: m(least, "ratio") }, window), blownPhoto)).toEqual([]);
  });

  test("black cloth around a lit prop does not block it, and a black prop does", () => {
    const cloth = { blockedRatio: m(0.8, "ratio"), meanLuminanceStops: m(-6.5, "stops") };
    expect(namedIn(set({}, cloth), blockedPhoto)).toEqual([]);
    const prop = { blockedRatio: m(0.61, "ratio"), meanLuminanceStops: m(-6.1, "stops") };
    expect(namedIn(set(prop), blockedPhoto)).toEqual([odd]);
    expect(namedIn(set({ ...prop, blockedRatio: m(0.6, "ratio") }), blockedPhoto)).toEqual([]);
  });

  test("grain in the dark around a clean prop is not noted; texture on the prop never accuses", () => {
    expect(namedIn(set({}, { noiseSigma: m(7, "grey levels") }), noisyPhoto)).toEqual([]);
    expect(namedIn(set({ noiseSigma: m(9, "grey levels") }), noisyPhoto)).toEqual([]);
    expect(
      namedIn(set({ noiseSigma: m(6, "grey levels") }, { noiseSigma: m(7, "grey levels") }), noisyPhoto),
    ).toEqual([odd]);
  });

  test("a background out of focus is no fault, though the whole frame has lost its detail", () => {
    const soft = {
      laplacianVariance: m(20, "grey levels squared"),
      bandRatio: m(0.05, "times"),
      detailOffsetStops: m(-4, "stops"),
    };
    const about = set({ backgroundBandRatio: m(0.08, "times") }, soft);
    expect(namedIn(about, softPhoto)).toEqual([]);
    expect(namedIn(about, missedFocus)).toEqual([]);
  });
});

/** A subject that has lost as much detail as 2 px out of focus costs. */
const softSubject = {
  laplacianVariance: m(420 / 2 ** 4, "grey levels squared"),
  bandRatio: m(0.08, "times"),
  detailOffsetStops: m(-4, "stops"),
};

describe("missed-focus", () => {
  test("a soft subject before a sharp background is named once, by the check that knows why", () => {
    const about = set(softSubject);
    expect(namedIn(about, missedFocus)).toEqual([odd]);
    const checksNaming = (limits = defaultLimits) =>
      judge(about, limits)
        .findings.filter(({ photos, severity }) => photos.includes(odd) && severity !== "note")
        .map(({ check }) => check);
    expect(checksNaming()).toEqual(["missed-focus"]);
    // A user's limit that silences the one leaves the photo to the other.
    const lenient = mergeLimits({ "missed-focus": { blur: 20 } });
    const edgeless = about.photos.map((one) => ({
      ...one,
      edgeWidthsPx: new Array<null>(8).fill(null),
    }));
    const left = judge({ ...about, photos: edgeless }, lenient).findings;
    expect(left.filter(({ check }) => check === "soft-photo")).toMatchObject([{ photos: [odd] }]);
    const [finding] = judge(about).findings.filter(({ photos }) => photos.includes(odd));
    expect(finding).toMatchObject({ check: "missed-focus", about: "photo" });
  });

  test("a photo soft throughout is out of focus or shaken, not focused beside the subject", () => {
    const about = set({ ...softSubject, backgroundBandRatio: m(0.1, "times") });
    expect(namedIn(about, missedFocus)).toEqual([]);
    expect(namedIn(about, softPhoto)).toEqual([odd]);
  });

  test("a little softness is within what good photos have", () => {
    expect(namedIn(set({ detailOffsetStops: m(-0.6, "stops") }), missedFocus)).toEqual([]);
  });

  test("a set focused behind the subject throughout is told as a whole; a soft set is not its business", () => {
    const { wholeSet } = missedFocus.limits;
    const of = (own: number, around: number) =>
      judged(
        missedFocus,
        set({}, {}, { bandRatio: m(own, "times"), backgroundBandRatio: m(around, "times") }),
      ).findings;
    expect(of(wholeSet.value - 0.001, 0.5)).toMatchObject([{ about: "set", severity: "reshoot" }]);
    expect(of(wholeSet.value, 0.5)).toEqual([]);
    expect(of(0.07, 0.2)).toEqual([]);
  });

  test("a subject too plain to tell is skipped, not passed in silence", () => {
    const withTexture = (value: number) =>
      judged(missedFocus, set(softSubject, {}, { textureRatio: m(value, "ratio") }));
    const { value } = missedFocus.limits.texture;
    expect(withTexture(value - 0.001).findings).toEqual([]);
    expect(withTexture(value - 0.001).skipped[0]?.photos).toHaveLength(12);
    expect(withTexture(value).findings).toHaveLength(1);
  });
});

describe("cut-subject", () => {
  const { outside } = cutSubject.limits;

  test("passes at the limit and fails above it", () => {
    expect(namedIn(set({ cutRatio: outside }), cutSubject)).toEqual([]);
    expect(namedIn(set({ cutRatio: m(outside.value + 0.001, "ratio") }), cutSubject)).toEqual([odd]);
  });

  test("many are taken for close-ups made on purpose: one note", () => {
    const { deep } = cutSubject.limits;
    const { findings } = judged(cutSubject, set({}, {}, { cutRatio: deep }));
    expect(findings).toMatchObject([{ about: "set", severity: "note" }]);
  });

  test("nearly all cut deep: the set has to be taken again, and not where some show all of it", () => {
    const { deep } = cutSubject.limits;
    const all = set({}, {}, { cutRatio: m(deep.value + 0.01, "ratio") });
    expect(judged(cutSubject, all).findings).toMatchObject([
      { about: "set", severity: "reshoot", whatItIs: "alone", anew: true },
    ]);
    const photos = all.photos.map((one, i) =>
      i < 2 ? { ...one, subject: subject({ cutRatio: m(0, "ratio") }) } : one,
    );
    expect(judged(cutSubject, { ...all, photos }).findings).toMatchObject([{ severity: "note" }]);
  });

  test("a photo whose subject is not known is skipped with the reason", () => {
    const about = facts([photo("a.jpg"), photo("b.jpg", { subject: { ...subject(), source: "centre" } })]);
    expect(judged(cutSubject, about)).toMatchObject({
      findings: [],
      skipped: [{ photos: ["a.jpg", "b.jpg"] }],
    });
  });
});

describe("small-subject", () => {
  const { side } = smallSubject.limits;

  test("passes at the limit and fails below it", () => {
    expect(namedIn(set({ sideRatio: side }), smallSubject)).toEqual([]);
    expect(namedIn(set({ sideRatio: m(side.value - 0.001, "ratio") }), smallSubject)).toEqual([odd]);
  });

  test("nothing is said of the few photos whose subject is known where most are not", () => {
    const about = set({ sideRatio: m(0.02, "ratio") });
    const unsure = { confidence: m(0.1, "ratio") };
    const photosKnown = (known: number) => ({
      ...about,
      photos: about.photos.map((one, i) =>
        one.file === odd || i < known - 1 ? one : { ...one, subject: subject(unsure) },
      ),
    });
    expect(namedIn(photosKnown(6), smallSubject)).toEqual([odd]);
    expect(namedIn(photosKnown(5), smallSubject)).toEqual([]);
    expect(judged(smallSubject, photosKnown(5)).skipped[0]?.photos).toHaveLength(12);
  });

  test("small throughout is one note about the set", () => {
    const { findings } = judged(smallSubject, set({}, {}, { sideRatio: smallSubject.limits.tiny }));
    expect(findings).toMatchObject([{ about: "set", severity: "note" }]);
  });

  test("tiny throughout: the set has to be taken again", () => {
    const { tiny } = smallSubject.limits;
    const { findings } = judged(smallSubject, set({}, {}, { sideRatio: m(tiny.value - 0.01, "ratio") }));
    expect(findings).toMatchObject([{ about: "set", severity: "reshoot", whatItIs: "alone" }]);
  });
});

describe("plain-subject", () => {
  test("bare and far darker than the photos: covered, or black", () => {
    const of = (darker: number) => {
      const { meanLuminanceStops } = photo("a.jpg").measures;
      const own = { meanLuminanceStops: m(meanLuminanceStops.value - darker, "stops") };
      return judged(plainSubject, set({}, {}, { bareRatio: m(0.9, "ratio"), ...own })).findings[0]?.message;
    };
    const { covered } = plainSubject.limits;
    expect(of(covered.value + 0.01)).toMatch(/something covers the subject or the lens/);
    expect(of(covered.value - 0.01)).toMatch(/^The subject is plain/);
  });

  test("bare over the limit fails the set; little texture alone is a note", () => {
    const of = (bare: number, texture: number) =>
      judged(plainSubject, set({}, {}, { bareRatio: m(bare, "ratio"), textureRatio: m(texture, "ratio") }))
        .findings;
    const { bare, someBare, texture } = plainSubject.limits;
    expect(of(someBare.value, texture.value)).toEqual([]);
    expect(of(someBare.value + 0.01, 0.07)).toMatchObject([{ about: "set", severity: "note" }]);
    expect(of(bare.value, 0.07)).toMatchObject([{ severity: "note" }]);
    expect(of(bare.value + 0.01, 0.07)).toMatchObject([{ about: "set", severity: "reshoot" }]);
    expect(of(0, texture.value - 0.001)).toMatchObject([{ about: "set", severity: "note" }]);
  });

  test("where no subject is known, a bare middle of the frame fails the set, and a textured one says nothing", () => {
    const middle = (bare: number) => {
      const { measures } = subject({ bareRatio: m(bare, "ratio") });
      return facts(names.map((file) => photo(file, { subject: { source: "centre", measures } })));
    };
    const { bare } = plainSubject.limits;
    expect(judged(plainSubject, middle(bare.value + 0.01)).findings).toMatchObject([
      { about: "set", severity: "reshoot", message: expect.stringContaining("51 %") },
    ]);
    expect(judged(plainSubject, middle(bare.value))).toMatchObject({
      findings: [],
      skipped: [{ photos: [] }],
    });
  });

  test("is skipped where too few photos have a known subject", () => {
    expect(judged(plainSubject, facts([photo("a.jpg")]))).toMatchObject({
      findings: [],
      skipped: [{ photos: [] }],
    });
  });
});
