import { readdirSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { changingSettings } from "#goodgate/checks/changing-settings.js";
import type { Check } from "#goodgate/checks/define.js";
import { inStops, percentBeyond } from "#goodgate/checks/define.js";
import { checks, defaultLimits } from "#goodgate/checks/index.js";
import { photosInside as photosInsideCheck } from "#goodgate/checks/photos-inside.js";
import { rawPreview } from "#goodgate/checks/raw-preview.js";
import { softSet } from "#goodgate/checks/soft-set.js";
import { strayPhoto } from "#goodgate/checks/stray-photo.js";
import { tooFewPhotos } from "#goodgate/checks/too-few-photos.js";
import { tooManyPhotos } from "#goodgate/checks/too-many-photos.js";
import { twinPhotos } from "#goodgate/checks/twin-photos.js";
import { unreadKind } from "#goodgate/checks/unread-kind.js";
import { unreadablePhoto } from "#goodgate/checks/unreadable-photo.js";
import type { Exif } from "#goodgate/types/exif.js";
import type { Facts } from "#goodgate/types/facts.js";
import { azimuths, factsAround, standsAt } from "../support/around.js";
import { facts, jugNames, m, pair, photo, subject } from "../support/facts.js";

const judged = <Name extends string>(check: Check<Name>, about: Facts) => check.judge(about, check.limits);
const good = (number: number, change: Partial<Facts> = {}) =>
  facts(
    jugNames(number).map((file) => photo(file)),
    change,
  );
const withExif = (change: Partial<Exif>) => ({ exif: { ...photo("x.jpg").exif, ...change } });

describe("the registry", () => {
  test("holds every file of the folder that is a check, under the file's name", () => {
    const helpers = [
      "around",
      "covered",
      "define",
      "edges",
      "evidence",
      "exif",
      "index",
      "judge",
      "levelled-set",
      "levelling",
      "limits",
      "links",
      "light",
      "requirements",
      "skipped",
      "staying",
    ].concat("subject");
    const files = readdirSync("src/checks").map((name) => name.replace(/\.ts$/, ""));
    expect(checks.map(({ id }) => id).sort()).toEqual(files.filter((name) => !helpers.includes(name)).sort());
  });

  test("every limit has a finite value, a unit and a source", () => {
    for (const table of Object.values(defaultLimits)) {
      for (const { value, unit, source } of Object.values(table)) {
        expect(Number.isFinite(value)).toBe(true);
        expect(unit).not.toBe("");
        expect(source).not.toBe("");
      }
    }
  });

  test("no check finds anything on a good set", () => {
    const set = good(tooFewPhotos.limits.comfortable.value);
    for (const check of checks) expect(judged(check, set).findings, check.id).toEqual([]);
  });
});

test("numbers for people: no plural of one, and never the limit for what is beyond it", () => {
  expect([1, -1, 0.96, 0.8, -1.25].map(inStops)).toEqual([
    "1 stop",
    "1 stop",
    "1 stop",
    "0.8 stops",
    "1.3 stops",
  ]);
  expect(percentBeyond(0.93, 0.25)).toBe("93 %");
  expect(percentBeyond(0.251, 0.25)).toBe("25.1 %");
  expect(percentBeyond(0.25004, 0.25)).toBe("25.004 %");
});

describe("soft-set", () => {
  test("edges that are wide for a textured subject are enough, those of a plain one may be its shading", () => {
    const { edgeOfTextured, texture } = softSet.limits;
    const of = (px: number, textureRatio: number) =>
      judged(
        softSet,
        facts(
          jugNames(9).map((file) =>
            photo(file, {
              widthPx: 1920,
              heightPx: 1440,
              edgeWidthsPx: new Array<number>(8).fill(px),
              subject: subject({ textureRatio: m(textureRatio, "ratio") }),
            }),
          ),
        ),
      ).findings;
    expect(of(edgeOfTextured.value, texture.value)).toMatchObject([{ limit: edgeOfTextured }]);
    expect(of(edgeOfTextured.value - 0.01, texture.value)).toEqual([]);
    expect(of(edgeOfTextured.value, texture.value - 0.001)).toEqual([]);
  });

  const at = (value: number) =>
    judged(
      softSet,
      facts(jugNames(9).map((file) => photo(file, { measures: { sharpestBandRatio: m(value, "times") } }))),
    );
  test("fails below the limit, passes at and above it", () => {
    const limit = softSet.limits.sharpest.value;
    expect(at(limit * 0.99).findings).toMatchObject([{ about: "set", severity: "reshoot", photos: [] }]);
    expect(at(limit).findings).toEqual([]);
    expect(at(limit * 1.01).findings).toEqual([]);
  });

  test("is skipped where nothing has structure", () => {
    const { sharpestBandRatio: _, ...measures } = photo("blank.jpg").measures;
    expect(judged(softSet, facts([{ ...photo("blank.jpg"), measures }]))).toMatchObject({
      findings: [],
      skipped: [{ photos: ["blank.jpg"] }],
    });
  });
});

describe("too-few-photos", () => {
  const { fewest, comfortable } = tooFewPhotos.limits;
  test("fails below the least, notes from there on, is silent from the comfortable number on", () => {
    expect(judged(tooFewPhotos, good(fewest.value - 1)).findings).toMatchObject([
      { severity: "reshoot", toAdd: 1 },
    ]);
    expect(judged(tooFewPhotos, good(fewest.value)).findings).toMatchObject([{ severity: "note" }]);
    expect(judged(tooFewPhotos, good(comfortable.value - 1)).findings).toMatchObject([{ severity: "note" }]);
    expect(judged(tooFewPhotos, good(comfortable.value)).findings).toEqual([]);
  });

  test("copies of one file count once", () => {
    const copies = facts(jugNames(fewest.value).map((file) => photo(file, { contentHash: "0".repeat(64) })));
    expect(judged(tooFewPhotos, copies).findings[0]).toMatchObject({
      severity: "reshoot",
      measured: { value: 1, unit: "photos" },
      message: "1 photo cannot show a subject from all sides.",
    });
  });
});

describe("too-many-photos", () => {
  test("is silent below and at the number given, and without one; notes above it", () => {
    const at = (atMostPhotos: number) => judged(tooManyPhotos, good(20, { atMostPhotos })).findings;
    expect(judged(tooManyPhotos, good(20)).findings).toEqual([]);
    expect(at(21)).toEqual([]);
    expect(at(20)).toEqual([]);
    expect(at(19)).toMatchObject([{ severity: "note", limit: { value: 19 } }]);
    expect(at(19)[0]!.advice).toContain("Take out 1:");
  });
});

describe("changing-settings", () => {
  const limit = changingSettings.limits.spread.value;
  const spread = (stops: number) =>
    judged(
      changingSettings,
      facts(jugNames(9).map((file, i) => photo(file, withExif({ ev100: i === 4 ? 8 + stops : 8 })))),
    ).findings;
  test("passes below and at the limit and notes above it", () => {
    expect(spread(limit / 2)).toEqual([]);
    expect(spread(limit)).toEqual([]);
    expect(spread(limit + 0.25)).toMatchObject([{ about: "set", severity: "note" }]);
  });

  test("notes the flash by name or for many", () => {
    const flash = (times: number) =>
      judged(
        changingSettings,
        facts(jugNames(9).map((file, i) => photo(file, withExif({ flashFired: i < times })))),
      ).findings;
    expect(flash(0)).toEqual([]);
    expect(flash(1)[0]!.message).toContain("The flash fired in jug_001.jpg");
    expect(flash(3)[0]!.message).toContain("The flash fired in these photos");
  });

  test("is skipped without EXIF", () => {
    const bare = facts(jugNames(3).map((file) => photo(file, { exif: { hasLocation: false } })));
    expect(judged(changingSettings, bare)).toMatchObject({
      findings: [],
      skipped: [{ photos: jugNames(3) }],
    });
  });
});

describe("twin-photos", () => {
  const { leastShift, alike, apart, matches } = twinPhotos.limits;
  const at = (shiftRatio: number, verifiedMatches: number, keypoints = verifiedMatches) => {
    const about = good(4, {
      photos: jugNames(4).map((file) => photo(file, { measures: { keypoints: m(keypoints, "keypoints") } })),
    });
    const [a, b] = jugNames(2) as [string, string];
    const pairs = [pair(a, b, { shiftRatio, verifiedMatches }), ...about.pairs.slice(1)];
    return judged(twinPhotos, { ...about, pairs }).findings;
  };
  test("needs less shift than the limit and at least as many matches", () => {
    expect(at(leastShift.value * 0.9, matches.value)).toMatchObject([
      { severity: "note", photos: jugNames(2) },
    ]);
    expect(at(leastShift.value * 0.9, matches.value)[0]!.message).toContain(
      "jug_001.jpg and jug_002.jpg are twins",
    );
    expect(at(leastShift.value, matches.value)).toEqual([]);
    expect(at(leastShift.value * 1.1, matches.value)).toEqual([]);
    expect(at(leastShift.value * 0.9, matches.value - 1)).toEqual([]);
  });

  test("a still background behind a turned subject makes no twins: most keypoints have to match", () => {
    expect(at(0.001, 1000 * alike.value, 1000)).toHaveLength(1);
    expect(at(0.001, 1000 * alike.value - 1, 1000)).toEqual([]);
  });

  test("photos whose cameras are known to stand apart are no twins", () => {
    const placed = (azimuthDeg: number) => {
      const stands = azimuths(12).map((own, i) => (i === 1 ? azimuthDeg : own));
      const about = factsAround(standsAt(stands, 20));
      const [a, b] = about.photos.map(({ file }) => file);
      const pairs = [pair(a!, b!, { shiftRatio: 0.001, verifiedMatches: 5000 })];
      return judged(twinPhotos, { ...about, pairs }).findings;
    };
    expect(placed(apart.value / 2)).toHaveLength(1);
    expect(placed(2 * apart.value)).toEqual([]);
  });

  test("files of the same bytes are twins whatever they show, three of them one group", () => {
    const same = facts(
      jugNames(4).map((file, i) => photo(file, i === 1 ? {} : { contentHash: "0".repeat(64) })),
      { pairs: [] },
    );
    const found = judged(twinPhotos, same).findings;
    expect(found.map(({ photos }) => photos)).toEqual([["jug_001.jpg", "jug_003.jpg", "jug_004.jpg"]]);
    expect(found[0]!.message).toMatch(/^These photos are twins/);
  });
});

describe("raw-preview", () => {
  const preview = { widthPx: 1620, heightPx: 1080, rawPreview: { whole: true } };

  test("says which photos were judged by previews, one note a size, turned or not", () => {
    const about = facts([
      photo("a.cr3", preview),
      photo("b.cr3", { ...preview, widthPx: 1080, heightPx: 1620 }),
      photo("c.dng", { ...preview, widthPx: 4032, heightPx: 3024 }),
      photo("d.jpg"),
    ]);
    const found = judged(rawPreview, about).findings;
    expect(found).toMatchObject([
      { about: "set", severity: "note", photos: ["a.cr3", "b.cr3"] },
      { about: "set", severity: "note", photos: ["c.dng"] },
    ]);
    expect(found[0]!.message).toBe("These are raw photos, judged by the 1620 x 1080 previews inside.");
    expect(found[1]!.message).toBe("c.dng is a raw photo, judged by the 4032 x 3024 preview inside.");
    expect(judged(rawPreview, good(3)).findings).toEqual([]);
  });

  test("a file that breaks off behind its preview is to be copied again, and no other photo covers it", () => {
    const found = judged(rawPreview, facts([photo("a.cr3", { ...preview, rawPreview: { whole: false } })]));
    expect(found.findings).toMatchObject([
      { about: "photo", severity: "reshoot", alwaysReshoot: true, photos: ["a.cr3"] },
      { severity: "note" },
    ]);
    expect(found.findings[0]!.message).toContain("a.cr3 ends early");
  });
});

describe("photos-inside", () => {
  const inside = (photosInside: number, foldersInside: number) =>
    judged(
      photosInsideCheck,
      good(3, {
        leftAlone: {
          rawBeside: [],
          liveVideos: 0,
          sidecars: 0,
          photosInside,
          foldersInside,
          closedFolders: [],
        },
      }),
    ).findings;

  test("says how many photos were not looked at, and the way to have them looked at", () => {
    expect(inside(12, 2)).toMatchObject([{ severity: "note", photos: [] }]);
    expect(inside(12, 2)[0]!.message).toBe(
      "12 photos lie in 2 folders inside this one and were not looked at.",
    );
    expect(inside(1, 1)[0]!.message).toBe("1 photo lies in a folder inside this one and was not looked at.");
    expect(inside(1, 1)[0]!.advice).toContain("--recursive");
  });

  test("a folder that should have been entered and could not be fails the set", () => {
    const leftAlone = { rawBeside: [], liveVideos: 0, sidecars: 0, photosInside: 0, foldersInside: 0 };
    const found = judged(
      photosInsideCheck,
      good(3, { leftAlone: { ...leftAlone, closedFolders: ["card"] } }),
    );
    expect(found.findings).toMatchObject([{ about: "set", severity: "reshoot", photos: [] }]);
    expect(found.findings[0]!.message).toContain("The folder card could not be looked into");
  });

  test("says nothing where there are none", () => {
    expect(inside(0, 0)).toEqual([]);
    expect(judged(photosInsideCheck, good(3)).findings).toEqual([]);
  });
});

describe("unread-kind and unreadable-photo", () => {
  test("raw photos without a preview fail the set, and the way out is told", () => {
    const two = good(3, {
      unsupported: [
        { file: "IMG_2.dng", kind: "raw" },
        { file: "IMG_3.dng", kind: "raw" },
      ],
    });
    const found = judged(unreadKind, two).findings;
    expect(found).toMatchObject([{ about: "set", severity: "reshoot", photos: ["IMG_2.dng", "IMG_3.dng"] }]);
    expect(found[0]!.message).toContain("These are raw photos without a preview");
    expect(found[0]!.advice).toContain("JPEG");
    const one = good(3, { unsupported: [{ file: "IMG_2.dng", kind: "raw" }] });
    expect(judged(unreadKind, one).findings[0]!.message).toContain("IMG_2.dng is a raw photo");
    expect(judged(unreadKind, good(3)).findings).toEqual([]);
  });

  test("a file that cannot be read is named with its reason, and no other photo covers it", () => {
    const found = judged(
      unreadablePhoto,
      good(3, { unreadable: [{ file: "bad.jpg", reason: "it is empty" }] }),
    );
    expect(found.findings).toMatchObject([
      {
        severity: "reshoot",
        alwaysReshoot: true,
        photos: ["bad.jpg"],
        message: "bad.jpg cannot be read: it is empty.",
      },
    ]);
    expect(judged(unreadablePhoto, good(3)).findings).toEqual([]);
  });

  test("a file that cannot be read is advised by its way out, or else to be copied again", () => {
    const unreadable = [
      { file: "text.jpg", reason: "it is a text file", wayOut: "take it out of the folder" },
      { file: "odd.jpg", reason: "measuring it failed (TypeError: no jug: no lamp)" },
    ];
    expect(judged(unreadablePhoto, good(3, { unreadable })).findings).toMatchObject([
      { message: "text.jpg cannot be read: it is a text file.", advice: "Take it out of the folder." },
      {
        message: "odd.jpg cannot be read: measuring it failed (TypeError: no jug: no lamp).",
        advice: "Copy the file from the phone again; if that fails, take the photo again.",
      },
    ]);
  });
});

/** A chain of photos in which those named link to nothing before or after. */
function chain(number: number, loose: readonly number[], compared = number - 1): Facts {
  const names = jugNames(number);
  const photos = names.map((file, i) =>
    photo(file, {
      measures: {
        linkedPhotos: m(loose.includes(i) ? 0 : 2, "photos"),
        comparedPhotos: m(loose.includes(i) ? compared : 6, "photos"),
      },
    }),
  );
  const kept = names.filter((_, i) => !loose.includes(i));
  return facts(photos, { pairs: kept.slice(1).map((file, i) => pair(kept[i]!, file)) });
}

describe("stray-photo", () => {
  test("a photo that was compared with all and links to none is a stray, told with its neighbours", () => {
    const [finding, ...more] = judged(strayPhoto, chain(20, [9])).findings;
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ severity: "leave-out", photos: ["jug_010.jpg"] });
    expect(finding!.advice).toContain("jug_009.jpg or jug_011.jpg");
    expect(judged(strayPhoto, chain(20, [])).findings).toEqual([]);
  });

  test("one that was not compared with all is skipped, not accused", () => {
    expect(judged(strayPhoto, chain(20, [9], 18))).toMatchObject({
      findings: [],
      skipped: [{ photos: ["jug_010.jpg"] }],
    });
  });

  /** Twenty photos in a chain, and after them a chain of their own. */
  const besides = (size: number, compared: boolean): Facts => {
    const names = jugNames(20 + size);
    return facts(
      names.map((file) =>
        photo(file, { measures: { comparedPhotos: m(compared ? names.length - 1 : 6, "photos") } }),
      ),
      { pairs: names.slice(1).flatMap((b, i) => (i === 19 ? [] : [pair(names[i]!, b)])) },
    );
  };

  test("a group up to the limit is strays, a larger one a part of its own", () => {
    const most = strayPhoto.limits.strayGroup.value;
    const named = (size: number) =>
      judged(strayPhoto, besides(size, true)).findings.flatMap(({ photos }) => photos);
    expect(named(most - 1)).toHaveLength(most - 1);
    expect(named(most)).toHaveLength(most);
    expect(judged(strayPhoto, besides(most + 1, true)).findings).toEqual([]);
  });

  test("photos that hang together with others are not listed as skipped", () => {
    expect(judged(strayPhoto, besides(2, false))).toEqual({ findings: [], skipped: [] });
  });

  test("where no part holds more than the share, none is called a stray", () => {
    const share = strayPhoto.limits.mainShare.value;
    const half = Math.floor(20 * share);
    const loose = Array.from({ length: 20 - half }, (_, i) => half + i);
    expect(judged(strayPhoto, chain(20, loose)).findings).toEqual([]);
    expect(judged(strayPhoto, chain(20, loose.slice(1))).findings[0]!.photos).toHaveLength(loose.length - 1);
  });

  test("more than the limit are told together, as what the set is", () => {
    const most = strayPhoto.limits.many.value * 20;
    const strays = (number: number) =>
      judged(
        strayPhoto,
        chain(
          20,
          Array.from({ length: number }, (_, i) => 2 * i + 1),
        ),
      ).findings;
    expect(strays(most)).toHaveLength(most);
    expect(strays(most)[0]).not.toHaveProperty("whatItIs");
    expect(strays(most + 1)).toMatchObject([
      {
        whatItIs: "first",
        severity: "leave-out",
        message: "3 of 20 photos show nothing that the others show.",
      },
    ]);
  });

  test("one single photo, and two that link, are no strays", () => {
    expect(judged(strayPhoto, chain(1, [0])).findings).toEqual([]);
    expect(judged(strayPhoto, chain(2, [], 1)).findings).toEqual([]);
  });
});
