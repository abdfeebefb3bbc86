import { describe, expect, it } from "vitest";
import type { Check } from "#goodgate/checks/define.js";
import { lightChange } from "#goodgate/checks/light-change.js";
import { lightSide } from "#goodgate/checks/light-side.js";
import { movingShadow } from "#goodgate/checks/moving-shadow.js";
import { shallowFocus } from "#goodgate/checks/shallow-focus.js";
import { shinySubject } from "#goodgate/checks/shiny-subject.js";
import { smallAperture } from "#goodgate/checks/small-aperture.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { LightFacts, LightFalloff, LightPhoto } from "#goodgate/types/light.js";
import { facts, jugNames, notPlaced, photo, withoutDrifts } from "../support/facts.js";

const names = jugNames(12);

function litFacts(light: Partial<LightFacts>, change: Partial<Facts> = {}): Facts {
  return facts(
    names.map((file) => photo(file)),
    { light: { photos: names.map((file) => ({ file })), exposureSource: "exif", ...light }, ...change },
  );
}

function judge<Name extends string>(check: Check<Name>, given: Facts) {
  return check.judge(given, check.limits);
}

describe("light-side", () => {
  const falloff = (change: Partial<LightFalloff>): Facts =>
    litFacts({
      falloff: {
        falloffStops: 2.4,
        oneSidedStops: 2.1,
        twoSidedStops: 0.4,
        darkSideDeg: 112,
        darkPhotos: [names[3], names[4]],
        binStops: Array.from({ length: 12 }, () => -2),
        ...change,
      },
    });

  it("fails a set with one lamp and names the photos of its dark side", () => {
    const [finding] = judge(lightSide, falloff({})).findings;
    expect(finding.severity).toBe("reshoot");
    expect(finding.photos).toEqual([names[3], names[4]]);
    expect(finding.message).toContain("2.4 stops");
    expect(finding.measured).toEqual({ value: 2.1, unit: "stops" });
  });

  it("notes it from one stop on", () => {
    expect(judge(lightSide, falloff({ oneSidedStops: 1 })).findings[0].severity).toBe("note");
    expect(judge(lightSide, falloff({ oneSidedStops: 1.99 })).findings[0].severity).toBe("note");
    expect(judge(lightSide, falloff({ oneSidedStops: 2 })).findings[0].severity).toBe("reshoot");
    expect(judge(lightSide, falloff({ oneSidedStops: 0.99 })).findings).toEqual([]);
  });

  it("only notes it where the exposure is known from the photos alone: the prop may have turned under its lamps", () => {
    const given = falloff({});
    const guessed = { ...given, light: { ...given.light!, exposureSource: "matched surface" as const } };
    expect(judge(lightSide, guessed).findings).toMatchObject([{ severity: "note", anew: false }]);
  });

  it("never calls two opposite lamps one-sided", () => {
    expect(judge(lightSide, falloff({ oneSidedStops: 2, twoSidedStops: 2.1 })).findings).toEqual([]);
  });

  it("says why it was not measured", () => {
    const reason = (change: Partial<Facts>) => judge(lightSide, litFacts({}, change)).skipped[0].reason;
    expect(reason({ around: { ...notPlaced, turnedSubject: true } })).toContain("turned");
    expect(reason({})).toContain("where the camera stood");
  });
});

describe("light-change", () => {
  const step = { before: names[4], after: names[5] };
  /** Facts whose shared surface itself is so much brighter after the step. */
  const seen = (stops: number, light: Parameters<typeof litFacts>[0]): Facts => {
    const found = litFacts(light);
    const photos = found.photos.map((one, i) => ({
      ...one,
      measures: {
        ...one.measures,
        exposureOffsetStops: { value: i > 4 ? stops : 0, unit: "stops" as const },
      },
    }));
    return withoutDrifts({ ...found, photos });
  };

  it("is a brightness step from the limit on, either way", () => {
    const [finding] = judge(lightChange, seen(-0.25, { step: { ...step, stops: -0.25 } })).findings;
    expect(finding).toMatchObject({ about: "between", severity: "edit", photos: [names[4], names[5]] });
    expect(finding.message).toContain("darker");
    expect(judge(lightChange, seen(0.24, { step: { ...step, stops: 0.24 } })).findings).toEqual([]);
  });

  it("is a note where exposure-step puts it right, and nothing where the surface looks alike", () => {
    const [large] = judge(lightChange, seen(-0.7, { step: { ...step, stops: -0.7 } })).findings;
    expect(large.severity).toBe("note");
    expect(judge(lightChange, seen(0, { step: { ...step, stops: -0.7 } })).findings).toEqual([]);
  });

  it("is a change of colour where the brightness stays", () => {
    const found = judge(lightChange, litFacts({ step: { ...step, stops: 0.1, blueStops: -0.3 } }));
    expect(found.findings[0].measured).toEqual({ value: -0.3, unit: "stops" });
    expect(found.findings[0].message).toContain("colour");
    const under = judge(lightChange, litFacts({ step: { ...step, stops: 0.1, redStops: 0.2 } }));
    expect(under.findings).toEqual([]);
  });

  it("is a note where the camera exposed anew", () => {
    const found = seen(-0.3, { step: { ...step, stops: -0.3 } });
    const photos = found.photos.map((one, i) => ({ ...one, exif: { ...one.exif, ev100: 6.6 + 0.1 * i } }));
    expect(judge(lightChange, { ...found, photos }).findings[0].severity).toBe("note");
  });

  it("is skipped without exposures", () => {
    expect(judge(lightChange, litFacts({})).skipped).toHaveLength(1);
  });
});

describe("shiny-subject", () => {
  const shine = (ratios: readonly (number | undefined)[]): Facts =>
    litFacts({
      photos: names.map(
        (file, i): LightPhoto => (ratios[i] === undefined ? { file } : { file, highlightRatio: ratios[i] }),
      ),
    });
  const matt = names.map(() => 0.004);

  it("goes by the middle photo: what is seen through a handle in some is no shine", () => {
    const half = (shiny: number): Facts => shine(names.map((_, i) => (i < shiny ? 0.07 : 0.004)));
    expect(judge(shinySubject, half(5)).findings).toEqual([]);
    const [finding] = judge(shinySubject, half(7)).findings;
    expect(finding.measured).toEqual({ value: 0.07, unit: "ratio" });
    expect(finding.photos).toEqual(names.slice(0, 7));
    expect(finding.message).toContain("7 %");
  });

  it("is quiet at the limit and speaks above it", () => {
    const limit = shinySubject.limits.share.value;
    expect(judge(shinySubject, shine(names.map(() => limit))).findings).toEqual([]);
    expect(judge(shinySubject, shine(names.map(() => limit + 1e-6))).findings).toHaveLength(1);
  });

  it("names the photos it could not follow, or skips the set", () => {
    expect(judge(shinySubject, shine([undefined, ...matt.slice(1)])).skipped[0].photos).toEqual([names[0]]);
    expect(judge(shinySubject, shine([0.1, 0.1])).skipped[0].photos).toEqual([]);
  });
});

describe("moving-shadow", () => {
  const shade = (ratios: readonly number[]): Facts =>
    litFacts({ photos: names.map((file, i) => ({ file, shadowRatio: ratios[i] ?? 0.02 })) });

  it("names the photos that a shadow lies in", () => {
    const [finding] = judge(movingShadow, shade([0.4, 0.02, 0.35])).findings;
    expect(finding).toMatchObject({ severity: "note", photos: [names[0], names[2]] });
    expect(finding.message).toContain("40 %");
    expect(judge(movingShadow, shade([0.4])).findings[0].message).toContain(names[0]);
  });

  it("is quiet at the limit, and says what could not be followed", () => {
    expect(judge(movingShadow, shade([movingShadow.limits.share.value]))).toEqual({
      findings: [],
      skipped: [],
    });
    expect(judge(movingShadow, litFacts({})).skipped).toHaveLength(1);
  });
});

describe("shallow-focus", () => {
  const depth = (subjectDepthMm: number, depthOfFieldMm?: number): Facts =>
    litFacts({
      photos: names.map((file) => ({
        file,
        subjectDepthMm,
        ...(depthOfFieldMm === undefined ? {} : { depthOfFieldMm }),
      })),
    });

  it("speaks where more of the subject lies in depth than is sharp", () => {
    const [finding] = judge(shallowFocus, depth(90, 43.2)).findings;
    expect(finding.severity).toBe("note");
    expect(finding.photos).toHaveLength(12);
    expect(finding.message).toContain("43 mm are in focus of 90 mm");
    expect(judge(shallowFocus, depth(43.2, 43.2)).findings).toEqual([]);
  });

  it("is content where the depth of field has no end, and skips photos without a distance", () => {
    expect(judge(shallowFocus, depth(90))).toEqual({ findings: [], skipped: [] });
    expect(judge(shallowFocus, litFacts({})).skipped).toHaveLength(1);
  });
});

describe("small-aperture", () => {
  const closed = (airyDiameterPx: number, fNumber: number): Facts => {
    const light: LightFacts = {
      photos: names.map((file) => ({ file, airyDiameterPx })),
      exposureSource: "exif",
    };
    const shot = (file: string) => photo(file);
    return facts(
      names.map((file) => ({ ...shot(file), exif: { ...shot(file).exif, fNumber } })),
      { light },
    );
  };

  it("speaks beyond 4 px", () => {
    const [finding] = judge(smallAperture, closed(4.99, 16)).findings;
    expect(finding.message).toContain("f/16");
    expect(finding.message).toContain("5.0 px");
    expect(judge(smallAperture, closed(4, 16)).findings).toEqual([]);
  });

  it("does not ask a phone to open an aperture that is fixed", () => {
    expect(judge(smallAperture, closed(4.3, 1.9)).findings).toEqual([]);
  });

  it("skips photos whose lens is not known", () => {
    expect(judge(smallAperture, litFacts({})).skipped[0].photos).toHaveLength(12);
  });
});
