import { describe, expect, test } from "vitest";
import { blownPhoto } from "#goodgate/checks/blown-photo.js";
import { coveredWithout, leaveOut } from "#goodgate/checks/covered.js";
import { evidence, unknownOf } from "#goodgate/checks/evidence.js";
import { exposureStep } from "#goodgate/checks/exposure-step.js";
import { checks, defaultLimits, judge } from "#goodgate/checks/index.js";
import { LimitsError, mergeLimits } from "#goodgate/checks/limits.js";
import { softSet } from "#goodgate/checks/soft-set.js";
import { tooFewPhotos } from "#goodgate/checks/too-few-photos.js";
import type { Facts } from "#goodgate/types/facts.js";
import { azimuths, factsAround, standsAt } from "../support/around.js";
import { facts, jugNames, m, pair, photo, subject, withEvidence, withoutDrifts } from "../support/facts.js";

const number = tooFewPhotos.limits.comfortable.value;
const names = jugNames(number);
const blown = { clippedCentreRatio: m(blownPhoto.limits.centre.value + 0.2, "ratio") };
const burnt = subject({ clippedRatio: m(blownPhoto.limits.subject.value + 0.2, "ratio") });
const least = leaveOut.limits.support.value;

/** Good photos but for the ones named, and what the good ones beside a gap share. */
function withBlown(
  bad: readonly number[],
  supportRatio: number | undefined,
  more: Partial<Facts> = {},
): Facts {
  const about = facts(
    names.map((file, i) => photo(file, bad.includes(i) ? { measures: blown, subject: burnt } : {})),
  );
  const before = names[Math.min(...bad) - 1];
  const after = names[Math.max(...bad) + 1];
  const across =
    supportRatio === undefined || before === undefined || after === undefined
      ? []
      : [pair(before, after, { supportRatio })];
  return { ...about, pairs: [...about.pairs, ...across], ...more };
}

describe("coveredWithout", () => {
  const covered = (about: Facts, ...bad: readonly number[]) =>
    coveredWithout(names[bad[0]!]!, about, new Set(bad.map((i) => names[i]!)), leaveOut.limits);

  test("below the limit not, at and above it covered", () => {
    expect(covered(withBlown([9], least - 0.01), 9)).toBeUndefined();
    expect(covered(withBlown([9], least), 9)).toBe("both sides");
    expect(covered(withBlown([9], least + 0.01), 9)).toBe("both sides");
  });

  test("not where the two were never compared, and not at either end", () => {
    expect(covered(withBlown([9], undefined), 9)).toBeUndefined();
    expect(covered(withBlown([0], 1), 0)).toBeUndefined();
    expect(covered(withBlown([number - 1], 1), number - 1)).toBeUndefined();
  });

  test("a faulty neighbour does not cover: the next good one has to", () => {
    expect(covered(withBlown([9, 10], least), 9, 10)).toBe("both sides");
    expect(covered(withBlown([9, 10], least - 0.01), 9, 10)).toBeUndefined();
  });

  test("a good retake from the same place covers, one from a step away or a faulty one does not", () => {
    const retake = names[number - 1]!;
    const withRetake = (shiftRatio: number) => {
      const about = withBlown([9], undefined);
      return { ...about, pairs: [...about.pairs, pair(names[9]!, retake, { shiftRatio })] };
    };
    const place = leaveOut.limits.samePlace.value;
    expect(covered(withRetake(place), 9)).toBe("retake");
    expect(covered(withRetake(place + 0.001), 9)).toBeUndefined();
    expect(covered(withRetake(place), 9, number - 1)).toBeUndefined();
  });

  describe("where the camera stood is known", () => {
    const ring = (stepDeg: number) => standsAt(azimuths(stepDeg), 0);
    const coveredAt = (about: Facts, file: string, ...bad: readonly string[]) =>
      coveredWithout(file, about, new Set([file, ...bad]), leaveOut.limits);
    const widest = leaveOut.limits.step.value;

    test("covered where the step without it is no gap, whatever the photos share", () => {
      const about = (stepDeg: number) => factsAround(ring(stepDeg));
      expect(coveredAt(about(widest / 2), "at0_100.jpg")).toBe("both sides");
      expect(coveredAt(about(15), "at0_105.jpg")).toBeUndefined();
    });

    test("high up the same steps are smaller on the sphere", () => {
      const high = factsAround(standsAt(azimuths(18), 50));
      expect(coveredAt(high, "at50_090.jpg")).toBe("both sides");
    });

    test("faulty photos beside it cover nothing", () => {
      const about = factsAround(ring(10));
      expect(coveredAt(about, "at0_100.jpg")).toBe("both sides");
      expect(coveredAt(about, "at0_100.jpg", "at0_110.jpg")).toBeUndefined();
    });

    test("a good retake from the same direction covers, nor does a photo from so far above that it looks past the step", () => {
      const same = leaveOut.limits.sameDirection.value;
      const withRetake = (offsetDeg: number, elevationDeg = 0) =>
        factsAround([...ring(20), { file: "again.jpg", azimuthDeg: 100 + offsetDeg, elevationDeg }]);
      expect(coveredAt(withRetake(same - 0.1), "at0_100.jpg")).toBe("retake");
      expect(coveredAt(withRetake(same - 0.1), "at0_100.jpg", "again.jpg")).toBeUndefined();
      expect(coveredAt(withRetake(0, 20), "at0_100.jpg")).toBe("both sides");
      expect(coveredAt(withRetake(0, 26), "at0_100.jpg")).toBeUndefined();
    });

    test("the last photo of an open ring is not covered", () => {
      const about = factsAround(standsAt(azimuths(10, 0, 180), 0));
      expect(coveredAt(about, "at0_170.jpg")).toBeUndefined();
      expect(coveredAt(about, "at0_160.jpg")).toBe("both sides");
    });

    test("a stray takes no place: it is covered where the good ones beside it stand close together", () => {
      const about = factsAround(ring(20));
      const stray = (at: number): Facts => ({
        ...about,
        photos: about.photos.toSpliced(at, 0, photo("lamp.jpg")),
      });
      expect(coveredAt(stray(3), "lamp.jpg")).toBe("both sides");
      expect(coveredAt(stray(3), "lamp.jpg", "at0_060.jpg")).toBeUndefined();
    });

    test("by what they share where the places are too uncertain", () => {
      const about = factsAround(ring(10), { confidence: leaveOut.limits.confidence.value - 0.01 });
      expect(coveredAt(about, "at0_100.jpg")).toBeUndefined();
      const shared = pair("at0_090.jpg", "at0_110.jpg", { supportRatio: least });
      expect(coveredAt({ ...about, pairs: [...about.pairs, shared] }, "at0_100.jpg")).toBe("both sides");
    });
  });

  test("a file that is not in the set is not covered", () => {
    expect(coveredWithout("toad.jpg", withBlown([9], 1), new Set(), leaveOut.limits)).toBeUndefined();
  });
});

describe("judge", () => {
  test("a good set passes, every photo with it", () => {
    const good = withEvidence(facts(names.map((file) => photo(file))));
    const { verdict, photoVerdicts, findings, requirements } = judge(good);
    expect(findings).toEqual([]);
    expect(verdict).toBe("pass");
    expect(new Set(requirements.map(({ state }) => state))).toEqual(new Set(["met"]));
    expect([...photoVerdicts]).toEqual(names.map((file) => [file, "pass"]));
  });

  test("a faulty photo is reshot where nothing covers it, left out where good ones do; both fail the set", () => {
    const open = judge(withBlown([9], least - 0.01));
    expect([open.verdict, open.photoVerdicts.get(names[9]!)]).toEqual(["reshoot", "reshoot"]);
    const closed = judge(withEvidence(withBlown([9], least)));
    expect([closed.verdict, closed.photoVerdicts.get(names[9]!)]).toEqual(["tidy", "leave-out"]);
    expect(closed.findings[0]!.advice).toMatch(/^Move it out of the folder and run again/);
    expect(closed.findings[0]).not.toHaveProperty("alwaysReshoot");
  });

  test("a photo that is soft but not spoilt is left out where good ones cover it, and kept where none do", () => {
    const softAt = (among: Facts): Facts => ({
      ...among,
      photos: names.map((file) =>
        photo(file, file === names[9] ? { edgeWidthsPx: new Array<number>(8).fill(1.3) } : {}),
      ),
    });
    const kept = judge(softAt(withBlown([9], least - 0.01)));
    expect(kept.findings.find(({ check }) => check === "soft-photo")).toMatchObject({
      severity: "note",
      photos: [names[9]],
      advice: expect.stringMatching(/^No better photo shows this view: keep it/),
    });
    const left = judge(softAt(withBlown([9], least)));
    expect(left.findings[0]).toMatchObject({ check: "soft-photo", severity: "leave-out" });
  });

  test("an unreadable file is never left out", () => {
    const about = facts(
      names.map((file) => photo(file)),
      { unreadable: [{ file: "bad.jpg", reason: "it is empty" }] },
    );
    const { verdict, photoVerdicts } = judge(about);
    expect([verdict, photoVerdicts.get("bad.jpg")]).toEqual(["reshoot", "reshoot"]);
  });

  const step = { exposureOffsetStops: m(exposureStep.limits.step.value + 0.5, "stops") };
  const edited = withoutDrifts(
    withEvidence(facts(names.map((file, i) => photo(file, i === 9 ? { measures: step } : {})))),
  );

  test("of a set that has to be taken anew nothing else is told", () => {
    const stands = standsAt(
      azimuths(10).filter((azimuth) => azimuth < 80 || azimuth > 150),
      20,
    );
    const holed = factsAround(stands);
    const soft = {
      ...holed,
      photos: holed.photos.map((one) => ({
        ...one,
        measures: { ...one.measures, sharpestBandRatio: m(softSet.limits.sharpest.value / 2, "times") },
      })),
    };
    const told = (about: Facts) => judge(about).findings.map(({ check }) => check);
    expect(told(holed)).toContain("gap");
    expect(told(soft)).toEqual(["soft-set"]);
    expect(judge(soft)).toMatchObject({ anew: true, whatItIs: { check: "soft-set" } });
    expect(judge(holed)).not.toHaveProperty("anew");
    expect(judge(holed)).not.toHaveProperty("whatItIs");
  });

  test("an edit passes, and fails under strict; notes never fail", () => {
    expect(judge(edited)).toMatchObject({ verdict: "pass" });
    expect(judge(edited).photoVerdicts.get(names[9]!)).toBe("edit");
    expect(judge(edited, defaultLimits).strict).toBeUndefined();
    expect(judge(edited, defaultLimits, { strict: true })).toMatchObject({
      verdict: "tidy",
      strict: true,
    });
    const noted = withEvidence(facts(names.map((file) => photo(file, { widthPx: 1000, heightPx: 1000 }))));
    const { verdict, findings, photoVerdicts } = judge(noted, defaultLimits, { strict: true });
    expect(findings.map(({ severity }) => severity)).toEqual(["note"]);
    expect(verdict).toBe("pass");
    expect(photoVerdicts.get(names[0]!)).toBe("pass");
  });

  test("the worst finding decides, and spares the artist the editing", () => {
    const both = withoutDrifts(
      facts(
        names.map((file, i) =>
          photo(file, i === 9 ? { measures: { ...step, ...blown }, subject: burnt } : {}),
        ),
      ),
    );
    const { photoVerdicts, findings } = judge(both);
    expect(photoVerdicts.get(names[9]!)).toBe("reshoot");
    expect(findings.map(({ severity }) => severity)).toEqual(["reshoot"]);
    expect(judge(edited).findings.map(({ severity }) => severity)).toEqual(["edit"]);
  });

  test("a finding about the space between two photos fails the set and marks no photo", () => {
    const about = facts(names.map((file) => photo(file)));
    const broken = { ...about, pairs: about.pairs.filter((_, i) => i !== 9) };
    const { verdict, photoVerdicts, findings } = judge(broken);
    expect(findings.map(({ check, about: of }) => [check, of])).toEqual([["separate-parts", "set"]]);
    expect(verdict).toBe("reshoot");
    expect(new Set(photoVerdicts.values())).toEqual(new Set(["pass"]));
  });

  test("the limits handed in decide", () => {
    const loose = mergeLimits({ "blown-photo": { subject: burnt.measures.clippedRatio!.value } });
    expect(judge(withEvidence(withBlown([9], least)), loose).verdict).toBe("pass");
  });
});

describe("what is not known is no pass", () => {
  const good = withEvidence(facts(names.map((file) => photo(file))));
  const told = (about: Facts) => {
    const { verdict, requirements } = judge(about);
    const unknown = requirements.filter(({ state }) => state === "not known");
    for (const { reason, wayOut } of unknown) expect([reason, wayOut]).not.toContain(undefined);
    return [verdict, ...unknown.map(({ id }) => id)];
  };

  test("where the cameras stood", () => {
    expect(told({ ...good, around: { ...good.around, parts: [] } })).toEqual([
      "cannot-tell",
      "around-subject",
    ]);
    const [part] = good.around.parts;
    const placed = (number: number) => ({
      ...good,
      around: { ...good.around, parts: [{ ...part!, cameras: part!.cameras.slice(0, number) }] },
    });
    const nearlyAll = Math.ceil(evidence.limits.known.value * number);
    expect(told(placed(nearlyAll))).toEqual(["pass"]);
    expect(told(placed(nearlyAll - 1))).toEqual(["cannot-tell", "around-subject"]);
  });

  test("which pixels are the subject's, whether they are sharp, and how they are exposed", () => {
    const without = (change: (one: (typeof good.photos)[number]) => object) => ({
      ...good,
      photos: good.photos.map((one) => ({ ...one, ...change(one) })),
    });
    expect(told(without(({ subject }) => ({ subject: { ...subject!, source: "centre" as const } })))).toEqual(
      ["cannot-tell", "subject-in-frame"],
    );
    expect(told(without(() => ({ edgeWidthsPx: new Array(8).fill(null) })))).toEqual([
      "cannot-tell",
      "sharp-set",
    ]);
    const unlit = without(({ measures: { exposureOffsetStops: _, ...measures } }) => ({ measures }));
    expect(told(unlit)).toEqual(["cannot-tell", "even-exposure"]);
  });

  test.each([1, 10, 360])("with --span %i, all but how far round stays as it is", (wantedSpanDeg) => {
    const notMet = (about: Facts): string[] => {
      const known = withEvidence(about);
      return judge({ ...known, around: { ...known.around, wantedSpanDeg } })
        .requirements.filter(({ state }) => state === "not met")
        .map(({ id }) => id);
    };
    const all = (change: Parameters<typeof photo>[1]) => names.map((file) => photo(file, change));
    expect(notMet(facts(all({})))).toEqual([]);
    expect(notMet(facts(all({}).slice(0, 6)))).toContain("enough-photos");
    expect(notMet(facts(all({ edgeWidthsPx: new Array<number>(8).fill(2) })))).toEqual(["sharp-set"]);
    expect(notMet(facts(all({ subject: subject({ cutRatio: m(0.4, "ratio") }) })))).toEqual([
      "subject-in-frame",
    ]);
    expect(notMet(facts(all({ measures: blown, subject: burnt })))).toEqual(["clean-tones"]);
    const placesUnknown = facts(all({ subject: subject() }));
    const where = { ...placesUnknown, around: { ...placesUnknown.around, wantedSpanDeg } };
    expect(judge(where).requirements.find(({ id }) => id === "around-subject")).toMatchObject({
      state: "not known",
    });
  });

  test("steps that may be gaps, where together they are a side of the subject", () => {
    const { doubtful } = evidence.limits;
    const about = factsAround(standsAt(azimuths(10), 10));
    const doubts = (deg: number) => {
      const at = deg / 10;
      const { cameras } = about.around.parts[0]!;
      return unknownOf(
        "around-subject",
        about,
        [{ check: "gap", photos: [cameras[0]!.file, cameras[at]!.file], reason: "not known" }],
        defaultLimits,
      );
    };
    expect(doubts(doubtful.value - 10)).toBeUndefined();
    expect(doubts(doubtful.value + 10)?.reason).toMatch(
      /on (5[6-9]|60) degrees of the way round: between \S+ and \S+\.$/,
    );
  });

  test("what is to be shot is told before what is not known, and that before what is to be moved", () => {
    const unknown = { around: { ...good.around, parts: [] } };
    expect(judge({ ...withBlown([9], undefined), ...unknown }).verdict).toBe("reshoot");
    expect(judge({ ...withBlown([9], least), ...unknown }).verdict).toBe("cannot-tell");
  });
});

describe("mergeLimits", () => {
  test("replaces one number, keeps its unit, says where it came from, and touches nothing else", () => {
    const merged = mergeLimits({ "blown-photo": { centre: 0.4 } });
    const { unit } = blownPhoto.limits.centre;
    expect(merged["blown-photo"]!.centre).toEqual({ value: 0.4, unit, source: "given with --limits" });
    const { "blown-photo": _, ...rest } = merged;
    const { "blown-photo": __, ...before } = defaultLimits;
    expect(rest).toEqual(before);
    expect(mergeLimits({})).toEqual(defaultLimits);
  });

  test("anything but a finite number in its place is refused", () => {
    const wrong = [
      null,
      [],
      3,
      "x",
      { "soft-photo": 1 },
      { "soft-photo": { softer: "1" } },
      { "soft-photo": { softer: null } },
    ];
    for (const json of wrong) expect(() => mergeLimits(json), JSON.stringify(json)).toThrow(LimitsError);
    expect(() => mergeLimits({ "soft-photo": { softer: Number.NaN } })).toThrow(LimitsError);
    expect(() => mergeLimits(JSON.parse('{"__proto__": {"softer": 1}}'))).toThrow(LimitsError);
  });

  test("every check can be explained with its limits", () => {
    for (const { id, limits } of checks)
      for (const [name, { value, unit, source }] of Object.entries(limits))
        expect(defaultLimits[id]![name]).toEqual({ value, unit, source });
  });
});

describe("what is skipped is told by its one cause", () => {
  const jugs = (number: number, change: (place: number) => Parameters<typeof photo>[1]) =>
    facts(jugNames(number).map((file, i) => photo(file, change(i))));
  const skippedBy = (about: Facts) => judge(about).skipped;

  test("photos without camera settings once, whatever each check looks for in them", () => {
    const told = skippedBy(jugs(20, () => ({ exif: { hasLocation: false } }))).filter(({ reason }) =>
      reason.includes("EXIF"),
    );
    expect(told.map(({ check }) => check)).toContain("zoomed-photo");
    for (const { photos, reason } of told)
      expect([photos.length, reason]).toEqual([20, "camera settings (EXIF) are missing"]);
  });

  test("a photo that has some of them by what it lacks", () => {
    const { exposureTimeS: _, ...rest } = photo("x.jpg").exif;
    expect(skippedBy(jugs(20, (i) => (i === 4 ? { exif: rest } : {})))).toContainEqual({
      check: "slow-shutter",
      photos: [names[4]],
      reason: "no exposure time or focal length (35 mm) in EXIF",
    });
  });

  test("a photo that links to none once", () => {
    const alone = skippedBy(jugs(20, (i) => ({ measures: { linkedPhotos: m(i === 4 ? 0 : 6, "photos") } })));
    const reasons = alone.filter(({ photos }) => photos.includes(names[4]!)).map(({ reason }) => reason);
    expect(new Set(reasons.filter((reason) => !reason.includes("EXIF")))).toEqual(
      new Set(["nothing in common with the other photos"]),
    );
  });

  test("three photos as a whole", () => {
    const few = skippedBy(jugs(3, () => ({}))).filter(({ reason }) => reason === "too few photos to compare");
    expect(few.length).toBeGreaterThan(5);
    for (const { photos } of few) expect(photos).toEqual([]);
  });
});
