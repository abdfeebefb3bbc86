import { describe, expect, test } from "vitest";
import { clockOf, photosIn, placedLimits } from "#goodgate/checks/around.js";
import { bandGap } from "#goodgate/checks/band-gap.js";
import type { Check } from "#goodgate/checks/define.js";
import { extraViews } from "#goodgate/checks/extra-views.js";
import { fewViews } from "#goodgate/checks/few-views.js";
import { gap } from "#goodgate/checks/gap.js";
import { judge } from "#goodgate/checks/index.js";
import { laidOver } from "#goodgate/checks/laid-over.js";
import { missingBand } from "#goodgate/checks/missing-band.js";
import { oneSide } from "#goodgate/checks/one-side.js";
import { openRing } from "#goodgate/checks/open-ring.js";
import { separateParts } from "#goodgate/checks/separate-parts.js";
import { turnedSubject } from "#goodgate/checks/turned-subject.js";
import { wideRing } from "#goodgate/checks/wide-ring.js";
import { wideStep } from "#goodgate/checks/wide-step.js";
import type { Facts } from "#goodgate/types/facts.js";
import { type Around, aroundParts, azimuths, factsAround, type Stand, standsAt } from "../support/around.js";
import { facts, jugNames, notPlaced, pair, photo } from "../support/facts.js";

const judged = <Name extends string>(check: Check<Name>, about: Facts) => check.judge(about, check.limits);
const found = <Name extends string>(check: Check<Name>, stands: readonly Stand[], options: Around = {}) =>
  judged(check, factsAround(stands, options)).findings;

/** A ring of steps of 12 degrees but for one of `widthDeg` from 120 degrees on. */
const ringWith = (widthDeg: number, elevationDeg = 0) =>
  standsAt([...azimuths(12, 0, 121), ...azimuths(12, 120 + widthDeg)], elevationDeg);

const places = [
  gap,
  openRing,
  wideRing,
  bandGap,
  wideStep,
  missingBand,
  extraViews,
  laidOver,
  fewViews,
] as readonly Check[];

describe("the checks of where the camera stood", () => {
  test.each(places.map((check) => [check.id, check] as const))(
    "%s does not judge places that are too uncertain, or too few, and says so",
    (_, check) => {
      const ring = ringWith(60);
      const least = placedLimits.confidence.value;
      const unsure = judged(check, factsAround(ring, { confidence: least - 0.01 }));
      expect(unsure).toMatchObject({ findings: [], skipped: [{ photos: [], reason: /uncertain/ }] });
      expect(judged(check, factsAround(ring, { confidence: least })).skipped).toEqual([]);
      const few = factsAround(standsAt(azimuths(50), 0).slice(0, placedLimits.placed.value - 1));
      expect(judged(check, few)).toMatchObject({ findings: [], skipped: [{ reason: /too few photos/ }] });
      expect(judged(check, facts([photo("jug.jpg")], { around: notPlaced })).findings).toEqual([]);
    },
  );

  test("three full rings and a look from above have nothing wrong with them", () => {
    const stands = [
      ...standsAt(azimuths(12), 8),
      ...standsAt(azimuths(15), 30),
      ...standsAt(azimuths(20), 52),
      ...standsAt([0, 120, 240], 75),
    ];
    for (const check of places) expect(found(check, stands), check.id).toEqual([]);
  });

  test("no hole is told twice", () => {
    for (const widthDeg of [30, 41, 60, 89, 91, 120, 200]) {
      const about = factsAround(ringWith(widthDeg));
      const failing = judge(about).findings.filter(
        ({ check, severity }) => severity === "reshoot" && check !== "too-few-photos",
      );
      expect(failing, `${widthDeg} degrees`).toHaveLength(1);
    }
  });
});

describe("gap", () => {
  const least = gap.limits.step.value;

  test("names the two photos beside it, its angle, height, direction, and how many photos fill it", () => {
    expect(found(gap, ringWith(41))).toMatchObject([
      {
        about: "between",
        severity: "reshoot",
        photos: ["at0_120.jpg", "at0_161.jpg"],
        measured: { value: 41, unit: "degrees" },
        limit: gap.limits.step,
        message:
          "Between at0_120.jpg and at0_161.jpg is a gap of 41 degrees low down, at about 11 o'clock (at0_000.jpg is at 6).",
        advice: /^Stand between these two places and take 2 more photos in even steps: hold the phone/,
        toAdd: 2,
      },
    ]);
  });

  test("from where the width less twice its standard error lies beyond the limit", () => {
    // The two ends' own .6 degrees make .85 together.
    expect(found(gap, ringWith(least))).toEqual([]);
    expect(found(gap, ringWith(least + 1.6))).toEqual([]);
    expect(found(gap, ringWith(least + 1.8))).toMatchObject([{ severity: "reshoot" }]);
  });

  test("what is too vague to tell is neither claimed nor passed over, if it may be wide", () => {
    const shaky = (widthDeg: number) => judged(gap, factsAround(ringWith(widthDeg), { uncertaintyDeg: 6 }));
    expect(shaky(gap.limits.vague.value)).toEqual({ findings: [], skipped: [] });
    expect(shaky(41)).toMatchObject({
      findings: [],
      skipped: [
        { photos: ["at0_120.jpg", "at0_161.jpg"], reason: /41 degrees apart, give or take 17 degrees$/ },
      ],
    });
    expect(shaky(43).findings).toHaveLength(1);
  });

  test("photos of another height that look within the step cover it, a few more at its ends do not", () => {
    const above = (elevationDeg: number, azimuthsDeg = azimuths(12)) =>
      found(gap, [...ringWith(41), ...standsAt(azimuthsDeg, elevationDeg)]);
    expect(above(24)).toEqual([]);
    expect(above(27)).toHaveLength(1);
    expect(above(18, azimuths(12, 0, 121))).toHaveLength(1);
    // One in the middle, a little higher: 20.5 degrees from either end along the way.
    expect(above(15, [140.5])).toEqual([]);
  });

  test("two photos near the pole are the ends of no gap, however far apart in azimuth", () => {
    const cap = standsAt([0, 60, 120, 260, 300, 330], 86);
    for (const check of [gap, openRing] as readonly Check[])
      expect(found(check, [...standsAt(azimuths(12), 20), ...cap])).toEqual([]);
    const ring = standsAt(azimuths(15, 0, 241), 70);
    expect(found(gap, [...standsAt(azimuths(12), 20), ...ring])).toMatchObject([
      { photos: ["at70_000.jpg", "at70_240.jpg"], measured: { value: 39.386 } },
    ]);
  });

  test("the underside asks for nothing", () => {
    const stands = [...standsAt(azimuths(12), 20), ...standsAt([0, 20, 40, 200, 220, 240, 260, 280], -85)];
    for (const check of places)
      expect(found(check, stands).filter(({ severity }) => severity !== "note")).toEqual([]);
    expect(found(missingBand, stands)[0]!.message).toMatch(/Nothing was taken from low down/);
  });

  test("is in doubt where the two share as much as the others do", () => {
    const ring = ringWith(31);
    const about = factsAround(ring);
    const sharing = (across: number) => {
      const pairs = ring
        .slice(1)
        .map(({ file }, i) =>
          pair(ring[i]!.file, file, { supportRatio: ring[i]!.file === "at0_120.jpg" ? across : 0.8 }),
        );
      return judged(gap, { ...about, pairs });
    };
    const least = gap.limits.shared.value;
    expect(sharing(0.8 * least - 0.01)).toMatchObject({ findings: [{ severity: "reshoot" }], skipped: [] });
    expect(sharing(0.8 * least + 0.01)).toMatchObject({
      findings: [],
      skipped: [
        {
          photos: ["at0_120.jpg", "at0_151.jpg"],
          reason: /31 degrees apart, but show as much of the same surface/,
        },
      ],
    });
  });

  test("is in doubt where photos without a place may stand in it, unless they could not fill it", () => {
    const loose = photo("loose.jpg");
    const withLoose = (
      widthDeg: number,
      joined: string | undefined,
      at: number,
      change: Partial<Facts> = {},
    ) => {
      const about = factsAround(ringWith(widthDeg));
      const more = joined === undefined ? [] : [pair(loose.file, joined, { verifiedMatches: 20 })];
      return judged(gap, {
        ...about,
        photos: about.photos.toSpliced(at, 0, loose),
        pairs: [...about.pairs, ...more],
        ...change,
      });
    };
    const doubt = {
      findings: [],
      skipped: [
        {
          photos: ["at0_120.jpg", "at0_161.jpg"],
          reason: /not known: loose.jpg, which could not be placed, may stand there$/,
        },
      ],
    };
    // It shares something with a photo near an end; it was taken next to one; nobody knows when it was taken.
    expect(withLoose(41, "at0_108.jpg", 0)).toMatchObject(doubt);
    expect(withLoose(41, undefined, 11)).toMatchObject(doubt);
    expect(withLoose(41, undefined, 0, { orderedBy: "file name" })).toMatchObject(doubt);
    expect(withLoose(41, "at0_048.jpg", 0).findings).toHaveLength(1);
    expect(withLoose(2 * least + 4, "at0_120.jpg", 11).findings).toHaveLength(1);
  });

  test("is judged on the sphere: high up the same way round is a smaller turn", () => {
    expect(found(gap, ringWith(30, 5))).toHaveLength(1);
    expect(found(gap, ringWith(30, 50))).toEqual([]);
  });

  test("the photos are named in capture order, whichever way the walk went", () => {
    const backwards = ringWith(41).toReversed();
    expect(found(gap, backwards)[0]!.photos).toEqual(["at0_161.jpg", "at0_120.jpg"]);
  });

  test("a few photos more at another height are no ring with gaps", () => {
    const stands = [...standsAt(azimuths(12), 5), ...standsAt([0, 10, 70, 80, 90], 30)];
    expect(found(gap, stands)).toEqual([]);
    expect(found(openRing, stands)).toEqual([]);
  });

  test("for high places the advice defers to the rules of the house", () => {
    expect(found(gap, ringWith(60, 50))[0]!.advice).toMatch(/as the rules of the house allow/);
  });

  test("the way round that is not wanted is no gap", () => {
    const front = standsAt(azimuths(12, 0, 181), 10);
    expect(found(openRing, front)).toHaveLength(1);
    for (const check of [gap, openRing] as readonly Check[])
      expect(found(check, front, { spanDeg: 180 })).toEqual([]);
    const holed = front.filter(({ azimuthDeg }) => azimuthDeg < 60 || azimuthDeg > 100);
    expect(found(gap, holed, { spanDeg: 180 })).toMatchObject([{ photos: ["at10_048.jpg", "at10_108.jpg"] }]);
  });

  test("a hole in the part that is wanted is told whatever its width", () => {
    const { open } = openRing.limits;
    const holed = (deg: number) => [...azimuths(12, 0, 85), ...azimuths(12, 84 + deg, 169 + deg)];
    for (const deg of [open.value, open.value + 1]) {
      // Another height holds the two sides together.
      const stands = [...standsAt(holed(deg), 10), ...standsAt(azimuths(30, 0, 169 + deg), 50)];
      const told = [gap, openRing].flatMap((check) => found(check as Check, stands, { spanDeg: 168 + deg }));
      expect(told.filter(({ about }) => about === "between")).toHaveLength(1);
    }
  });
});

describe("open-ring", () => {
  test("tells how much is missing and from where to where to walk", () => {
    expect(found(openRing, ringWith(120))).toMatchObject([
      {
        about: "between",
        severity: "reshoot",
        photos: ["at0_120.jpg", "at0_240.jpg"],
        measured: { value: 120, unit: "degrees" },
        message:
          /low down does not close: 120 degrees of it are missing, clockwise from at0_120\.jpg to at0_240/,
        toAdd: 7,
      },
    ]);
  });

  test("up to the limit it is a gap, beyond it an open ring", () => {
    const least = openRing.limits.open.value;
    expect(found(openRing, ringWith(least))).toEqual([]);
    expect(found(gap, ringWith(least))).toHaveLength(1);
    expect(found(openRing, ringWith(least + 1))).toHaveLength(1);
    expect(found(gap, ringWith(least + 1))).toEqual([]);
  });

  test("with --span, what is lacking of the wanted way", () => {
    const lacking = openRing.limits.lacking.value;
    const arc = (spanDeg: number) => standsAt(azimuths(10, 0, spanDeg + 1), 20);
    expect(found(openRing, arc(180 - lacking + 5), { spanDeg: 180 })).toEqual([]);
    expect(found(openRing, arc(120), { spanDeg: 180 })).toMatchObject([
      {
        about: "set",
        photos: [],
        measured: { value: 60 },
        message: /go 120 degrees .* of the 180 degrees/,
        toAdd: 4,
      },
    ]);
  });

  test("is silent where the set is split: nobody knows what stands in the open side", () => {
    const [one, other] = [standsAt(azimuths(10, 0, 121), 0, "a"), standsAt(azimuths(10, 0, 121), 0, "b")];
    const stands = [...one, ...other];
    const about = factsAround(stands, {}, { around: aroundParts([one, other]) });
    for (const check of [openRing, oneSide] as readonly Check[])
      expect(judged(check, about).findings).toEqual([]);
    expect(found(oneSide, one)).toHaveLength(1);
  });
});

describe("wide-ring", () => {
  test("a ring that is evenly too wide is one finding, and no gap", () => {
    const ring = standsAt(azimuths(30), 0);
    expect(found(wideRing, ring)).toMatchObject([
      { about: "set", severity: "reshoot", measured: { value: 30, unit: "degrees" }, toAdd: 12 },
    ]);
    expect(found(wideRing, ring)[0]!.photos).toHaveLength(12);
    expect(found(gap, ring)).toEqual([]);
  });

  test("a hole in it is told all the same", () => {
    const ring = standsAt(
      azimuths(30).filter((azimuth) => azimuth !== 120),
      0,
    );
    expect(found(gap, ring)).toMatchObject([{ photos: ["at0_090.jpg", "at0_150.jpg"] }]);
    const atLimit = { ...gap.limits, hole: { ...gap.limits.hole, value: 2 } };
    expect(gap.judge(factsAround(ring), atLimit).findings).toEqual([]);
  });

  test("where most steps are narrow the wide ones are gaps, each told by itself", () => {
    // Eight steps of 30 degrees and ten of 12.
    const ring = standsAt([...azimuths(30, 0, 240), ...azimuths(12, 240)], 0);
    expect(found(wideRing, ring)).toEqual([]);
    expect(found(gap, ring)).toHaveLength(8);
  });

  test("steps at the limit are none", () => {
    expect(found(wideRing, standsAt(azimuths(25, 0, 351), 0))).toEqual([]);
  });

  test("beside a good ring it is a note", () => {
    const stands = [...standsAt(azimuths(12), 35), ...standsAt(azimuths(30), 5)];
    expect(found(wideRing, stands)).toMatchObject([{ severity: "note" }]);
    expect(found(wideRing, stands)[0]).not.toHaveProperty("toAdd");
  });
});

describe("wide-step", () => {
  test("one note a ring, with how many steps and the widest", () => {
    expect(found(wideStep, ringWith(20))).toMatchObject([
      { severity: "note", photos: ["at0_120.jpg", "at0_140.jpg"], measured: { value: 20 } },
    ]);
    expect(found(wideStep, standsAt(azimuths(18), 0))[0]!.message).toContain("20 of 20 steps");
  });

  test("none up to the limit, and none beyond what is a gap", () => {
    expect(found(wideStep, ringWith(15))).toEqual([]);
    expect(found(wideStep, ringWith(27))).toEqual([]);
  });

  test("a step that is a gap only perhaps is a wide one", () => {
    expect(found(wideStep, ringWith(26))).toMatchObject([{ photos: ["at0_120.jpg", "at0_146.jpg"] }]);
  });

  test("a step, not the whole arc of a set", () => {
    expect(found(wideStep, standsAt(azimuths(2, 0, 21), 0))).toEqual([]);
  });
});

describe("band-gap", () => {
  const rings = (apartDeg: number) => [
    ...standsAt(azimuths(12), 10),
    ...standsAt(azimuths(12), 10 + apartDeg),
  ];

  test("rings that still join are none, wider ones a note, then a reshoot", () => {
    const { join, fail } = bandGap.limits;
    expect(found(bandGap, rings(join.value))).toEqual([]);
    expect(found(bandGap, rings(join.value + 2))).toMatchObject([{ about: "between", severity: "note" }]);
    expect(found(bandGap, rings(fail.value))).toMatchObject([{ severity: "note" }]);
    expect(found(bandGap, rings(fail.value + 2))).toMatchObject([{ severity: "reshoot", toAdd: 3 }]);
  });
});

describe("extra-views", () => {
  test("a few photos at another height are told as such and ask for nothing", () => {
    const stands = [
      ...standsAt(azimuths(6.4).map(Math.round), 5),
      ...standsAt([0, 20, 40, 60, 205, 220, 235], 35),
    ];
    for (const check of [gap, openRing, wideRing, bandGap] as readonly Check[])
      expect(found(check, stands), check.id).toEqual([]);
    expect(found(extraViews, stands)).toMatchObject([
      {
        severity: "note",
        message:
          "7 photos at middle height are extra views and no ring of their own: from about 6, 7, 8, 1, 2 o'clock.",
      },
    ]);
  });

  test("a full ring beside another is none, nor are a few from above, nor the only photos there are", () => {
    const [low, middle] = [standsAt(azimuths(12), 5), standsAt(azimuths(15), 30)];
    expect(found(extraViews, [...low, ...middle, ...standsAt([0, 120, 240], 75)])).toEqual([]);
    expect(found(extraViews, standsAt(azimuths(12, 0, 120), 5))).toEqual([]);
  });
});

describe("laid-over", () => {
  const told = (tiltDeg: number) => {
    const about = factsAround([...standsAt(azimuths(12), 20), ...standsAt(azimuths(12), -70)]);
    const photos = about.around.parts[0]!.photos.slice(30);
    const around = { ...about.around, parts: [{ ...about.around.parts[0]!, laidOver: { photos, tiltDeg } }] };
    return judged(laidOver, { ...about, around }).findings;
  };

  test("names the second round, laid down or turned over: a note", () => {
    expect(told(88)).toMatchObject([
      { severity: "note", measured: { value: 88 }, message: /was laid down\.$/ },
    ]);
    expect(told(171)).toMatchObject([{ message: /was turned over\.$/ }]);
    expect(told(88)[0]!.photos).toHaveLength(30);
    expect(found(laidOver, standsAt(azimuths(12), 20))).toEqual([]);
  });
});

describe("missing-band", () => {
  test("names the heights without photos, and never fails the set", () => {
    const [one] = found(missingBand, standsAt(azimuths(12), 25));
    expect(one).toMatchObject({ about: "set", severity: "note", photos: [] });
    expect(one!.message).toMatch(/^Nothing was taken from low down .* nor from high up/);
  });

  test("two photos are no height, three are; overhead counts as high", () => {
    const rings = [...standsAt(azimuths(12), 5), ...standsAt(azimuths(12), 28)];
    expect(found(missingBand, [...rings, ...standsAt([0, 90], 70)])[0]!.message).toMatch(/^Hardly anything/);
    expect(found(missingBand, [...rings, ...standsAt([0, 90, 180], 70)])).toEqual([]);
  });
});

describe("few-views", () => {
  test("names the sides seen in too few photos: a note", () => {
    // Three photos of a high ring that is only begun show the low back of the subject to nobody else.
    const stands = [...standsAt([0, 10, 20, 180, 270], 5), ...standsAt(azimuths(90), 45)];
    const [one] = found(fewViews, stands);
    expect(one).toMatchObject({ about: "set", severity: "note", limit: fewViews.limits.views });
    expect(one!.message).toMatch(/^Seen in fewer than 3 photos: the side at /);
    expect(found(fewViews, standsAt(azimuths(12), 35))).toEqual([]);
  });

  test("the top is named where photos from high up are too few, not where there are none", () => {
    const low = standsAt(azimuths(12), 10);
    expect(found(fewViews, low)).toEqual([]);
    expect(found(fewViews, [...low, ...standsAt([0, 180], 60)])).toMatchObject([
      { message: "Seen in fewer than 3 photos: the top.", measured: { value: 2 } },
    ]);
  });

  test("sides that lie in a gap are told by the gap alone", () => {
    expect(found(fewViews, ringWith(200, 35))).toEqual([]);
  });
});

describe("turned-subject", () => {
  const said = (turned?: boolean) =>
    judged(
      turnedSubject,
      factsAround(standsAt(azimuths(12), 0), turned === undefined ? {} : { turnedSubject: turned }),
    );
  test("asks for the background to be cut out where it stood still: nothing has to be shot", () => {
    expect(said(true).findings).toMatchObject([
      { about: "set", severity: "edit", advice: /^Cut the background out/ },
    ]);
    expect(said(false)).toEqual({ findings: [], skipped: [] });
    expect(said()).toMatchObject({ findings: [], skipped: [{ photos: [] }] });
  });
});

describe("separate-parts", () => {
  const names = jugNames(20);
  const split = (at: number) =>
    facts(
      names.map((file) => photo(file)),
      {
        pairs: names.slice(1).flatMap((second, i) => (i + 1 === at ? [] : [pair(names[i]!, second)])),
      },
    );

  test("names the photos that hang together with nothing else, and never a width", () => {
    expect(judged(separateParts, split(9)).findings).toMatchObject([
      {
        about: "set",
        severity: "reshoot",
        groups: [names.slice(9), names.slice(0, 9)],
        advice: /between jug_009.jpg and jug_010.jpg/,
      },
    ]);
    const [one] = judged(separateParts, split(9)).findings;
    expect(`${one!.message} ${one!.advice}`).not.toMatch(/degree/);
  });

  test("a group as small as strays are is none", () => {
    const least = separateParts.limits.photos.value;
    expect(judged(separateParts, split(least - 1)).findings).toEqual([]);
    expect(judged(separateParts, split(least)).findings).toHaveLength(1);
  });

  test("a set that hangs together is none", () => {
    expect(judged(separateParts, facts(names.map((file) => photo(file)))).findings).toEqual([]);
  });
});

describe("words", () => {
  test("the clock: azimuth 0 at 6, and on as one walks clockwise", () => {
    expect([0, 29, 90, 180, 270, 359].map(clockOf)).toEqual([6, 7, 9, 12, 3, 6]);
  });

  test("photos to add leave no step wider than is good", () => {
    const level = (angleDeg: number) => photosIn({ widthDeg: angleDeg, angleDeg }, 15);
    expect([26, 30, 31, 41, 45, 46].map(level)).toEqual([1, 1, 2, 2, 2, 3]);
    // At 60 degrees up the circle is half as long.
    expect(photosIn({ widthDeg: 120, angleDeg: 51.3178 }, 15)).toBe(3);
  });
});
