import { cp, mkdir, readFile, symlink, writeFile } from "node:fs/promises";
import { basename } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { defaultLimits, judge } from "#goodgate/checks/index.js";
import { factsFromJson, type ReportDocument } from "#goodgate/report/json.js";
import { renderedSet } from "../support/rendered.js";
import { Bench, bareRaw, contents, goodgate, goodgateProcess, heicHeader, withoutExif } from "./folders.js";

const ring = { elevationDeg: 14, photos: 24, startDeg: 0, spanDeg: 360 };
const retake = { kind: "retake" } as const;

let bench: Bench;
/** One ring of good photos. */
let clean: string[];
/** Four of the ring's photos taken once more, after all others. */
let retakes: string[];
/** Four good photos, and limits that let so few pass: what fails them is what a test puts beside them. */
let four: string[];
let fewWillDo: string[];

beforeAll(async () => {
  bench = await Bench.make();
  const faults = [3, 9, 15, 21].map((photo) => ({ photo, fault: retake }));
  const photos = await renderedSet({ rings: [ring], faults });
  clean = photos.slice(0, ring.photos);
  retakes = photos.slice(ring.photos);
  four = clean.slice(0, 4);
  await writeFile(bench.path("few.json"), JSON.stringify({ "too-few-photos": { fewest: 1 } }));
  fewWillDo = ["--limits", bench.path("few.json")];
});

afterAll(() => bench?.remove());

const namesOf = (report: ReportDocument) => report.photos.map(({ file }) => file);
const failing = (report: ReportDocument) =>
  report.findings.filter(({ severity }) => severity === "reshoot" || severity === "leave-out");
const checksIn = (findings: readonly { readonly check: string }[]) => findings.map(({ check }) => check);

describe("exit code 0", () => {
  test("a clean ring passes, twice with the same bytes whatever the number of threads", async () => {
    const folder = await bench.folder(clean);
    const run = await bench.check(folder);
    expect(failing(run.report)).toEqual([]);
    expect(run.code).toBe(0);
    expect(run.said).toContain("PASS");
    expect(run.untouched).toBe(true);

    const one = await goodgate("check", folder, "--json", "--no-cache", "--jobs", "1");
    const two = await goodgateProcess({}, "check", folder, "--json", "--no-cache", "--jobs", "2");
    expect([two.code, two.err]).toEqual([0, ""]);
    expect(two.out).toBe(one.out);
    const document = JSON.parse(one.out) as ReportDocument;
    expect(document).toEqual(run.report);

    const again = judge(factsFromJson(document), defaultLimits);
    expect(JSON.parse(JSON.stringify(again.findings))).toEqual(document.findings);
    expect(JSON.parse(JSON.stringify(again.skipped))).toEqual(document.skipped);
  }, 240_000);
});

describe("exit code 1: a file that cannot be read, beside four that can", () => {
  const jpeg = () => readFile(clean[5]!);
  const cases: readonly (readonly [
    name: string,
    bytes: () => Promise<Uint8Array> | Uint8Array,
    words: RegExp,
  ])[] = [
    [
      "a damaged photo",
      async () => Buffer.concat([(await jpeg()).subarray(0, 3), Buffer.alloc(4000)]),
      /damaged|broken|cannot be decoded|not a|no picture/i,
    ],
    ["a text file", () => Buffer.from("the toad stands on the third shelf\n"), /not|no /i],
    ["a truncated photo", async () => (await jpeg()).subarray(0, 20_000), /end|broke|truncated|cut|missing/i],
    ["a file of zero bytes", () => new Uint8Array(), /empty|0 bytes|zero/i],
  ];
  for (const [name, bytes, words] of cases) {
    test(`${name} is named, with the reason and what to do; the rest is judged`, async () => {
      const folder = await bench.folder(four, { "toad.jpg": await bytes() });
      const run = await bench.check(folder, ...fewWillDo);
      expect(run.code).toBe(1);
      expect(checksIn(failing(run.report))).toEqual(["unreadable-photo"]);
      const [finding] = failing(run.report);
      expect(finding!.photos).toEqual(["toad.jpg"]);
      expect(finding!.message).toMatch(/^toad\.jpg cannot be read: ./);
      expect(finding!.message.replace(/^.*?: /, "")).toMatch(words);
      expect(run.said).toMatch(
        name === "a text file"
          ? /FILES toad\.jpg: .+\. Take it out of the folder\./
          : /FILES toad\.jpg: .+\. Copy it again from the phone; if that fails, take it again\./,
      );
      expect(namesOf(run.report).filter((file) => file !== "toad.jpg")).toEqual(
        four.map((path) => basename(path)),
      );
      expect(run.untouched).toBe(true);
    });
  }

  for (const name of ["IMG_0100.HEIC", "IMG_0100.jpg"]) {
    test(`a HEIC photo that breaks off, named ${name}, never passes, and the way out is told`, async () => {
      const folder = await bench.folder(four, { [name]: heicHeader() });
      const run = await bench.check(folder, ...fewWillDo);
      expect(run.code).toBe(1);
      expect(checksIn(failing(run.report))).toEqual(["unreadable-photo"]);
      expect(run.said).toContain(
        `FILES ${name}: its start is damaged. Copy it again from the phone; if that fails, take it again.`,
      );
      expect(run.untouched).toBe(true);
    });
  }

  test("a raw photo without a preview never passes, and the way out is told", async () => {
    const folder = await bench.folder(four, { "IMG_0100.DNG": bareRaw() });
    const run = await bench.check(folder, ...fewWillDo);
    expect(run.code).toBe(1);
    expect(checksIn(failing(run.report))).toEqual(["unread-kind"]);
    expect(run.said).toContain("1 raw file holds no picture that can be read here.");
    expect(run.said).toMatch(/FILES IMG_0100\.DNG/);
    expect(run.said).toContain("save JPEG beside raw");
    expect(run.report.unsupported).toEqual([{ file: "IMG_0100.DNG", kind: "raw" }]);
    expect(run.untouched).toBe(true);
  });
});

describe("exit code 1: too little to judge", () => {
  test("one single photo cannot show a subject, and is no stray", async () => {
    const folder = await bench.folder(clean.slice(0, 1));
    const run = await bench.check(folder);
    expect(run.code).toBe(1);
    expect(await goodgateProcess({}, "check", folder)).toMatchObject({ code: 1, out: run.out, err: "" });
    expect(checksIn(failing(run.report))).toEqual(["too-few-photos"]);
    expect(run.said).toContain("1 photo cannot show a subject from all sides");
  });

  test("two identical photos are called copies of one, not strays", async () => {
    const bytes = await readFile(clean[0]!);
    const run = await bench.check(await bench.folder([], { "a.jpg": bytes, "b.jpg": bytes }));
    expect(run.code).toBe(1);
    expect(checksIn(failing(run.report))).toEqual(["copied-photos"]);
    expect(run.said).toContain("These are 2 copies of one photo.");
  });
});

describe("exit code 2: nobody can tell", () => {
  test("of four photos, where the limits let so few pass, nobody can tell where the camera stood", async () => {
    const run = await bench.check(await bench.folder(four), ...fewWillDo);
    expect(failing(run.report)).toEqual([]);
    expect(run.code).toBe(2);
    expect(run.report.verdict).toBe("cannot-tell");
    expect(run.said).toContain("CANNOT TELL");
  });
});

describe("exit code 2", () => {
  const refused = async (words: RegExp, ...args: readonly string[]) => {
    const run = await goodgate(...args);
    expect(run.code, run.said).toBe(2);
    expect(run.out).toBe("");
    expect(run.err.replace(/\s+/g, " ")).toMatch(words);
    expect(run.err).not.toMatch(/^\s+at /m);
  };

  test("a missing folder, in a process of its own too", async () => {
    await refused(/does not exist.*check the spelling/, "check", bench.path("nowhere"));
    const run = await goodgateProcess({}, "check", bench.path("nowhere"));
    expect(run).toMatchObject({ code: 2, out: "" });
    expect(run.said).toContain("does not exist");
  });

  test("an empty folder", async () => refused(/is empty.*copy the photos/, "check", await bench.folder([])));

  test("a folder without photos", async () =>
    refused(
      /holds 1 file and no photo/,
      "check",
      await bench.folder([], { "list.txt": Buffer.from("jug, lamp, toad") }),
    ));

  test("none of the photos readable", async () =>
    refused(
      /none of the 2 can be read.*copy the photos from the phone again/,
      "check",
      await bench.folder([], { "a.jpg": new Uint8Array(), "b.jpg": Buffer.from("toad") }),
    ));

  test("an option that does not exist, with the nearest one", () =>
    refused(/unknown option '--jsn' \(Did you mean --json\?\)/, "check", bench.path("nowhere"), "--jsn"));

  test("limits with a wrong name, with the right ones", async () => {
    const file = bench.path("wrong.json");
    await writeFile(file, JSON.stringify({ "soft-photo": { softness: 1 } }));
    const right = Object.keys(defaultLimits["soft-photo"]!).join(", ");
    await refused(new RegExp(`softness.*${right}`), "check", await bench.folder(four), "--limits", file);
  });

  test.each([
    [
      '{"gap": {"step": 900}}',
      /from 1 to 180 \(degrees\) for gap\.step in .*senseless\.json", but found 900/,
    ],
    ['{"too-few-photos": {"fewest": -1}}', /whole number from 1 to .* too-few-photos\.fewest .* found -1/],
    [
      '{"light-side": {"noted": 3}}',
      /light-side\.noted to be no more than light-side\.reshoot.* 3 and 2 stops/,
    ],
    ['{"soft-foto": {"blur": 1}}', /found "soft-foto": soft-photo is nearest/],
    ['{"soft-photo": {"blurr": 1}}', /found "blurr": blur is nearest/],
    ['{\n  "soft-photo": {"blur": 1},\n}', /senseless\.json", but line 3 does not parse/],
  ])("limits that make no sense: %s", async (text, words) => {
    const file = bench.path("senseless.json");
    await writeFile(file, text);
    await refused(words, "check", await bench.folder(four), "--limits", file);
  });

  test("a report onto a file that exists and is no report, which stays as it is", async () => {
    const file = bench.path("kept.json");
    await writeFile(file, "kept");
    const folder = await bench.folder(four);
    const before = await contents(folder);
    await refused(/kept\.json" exists/, "check", folder, "--save", file);
    expect(await readFile(file, "utf8")).toBe("kept");
    expect(await contents(folder)).toEqual(before);
  });

  test("a single file in place of a folder", () => refused(/is a single file/, "check", clean[0]!));

  test("a folder that only holds folders, with the one to name", async () => {
    const folder = await bench.folder([]);
    await mkdir(`${folder}/jug`);
    await refused(/holds only folders.*jug/, "check", folder);
  });
});

describe("sets that look odd and are not", () => {
  test("photos in folders inside are counted, and judged with the others where asked", async () => {
    const folder = await bench.folder(four.slice(0, 2));
    await mkdir(`${folder}/ring 2/card`, { recursive: true });
    for (const photo of four.slice(2)) await cp(photo, `${folder}/ring 2/card/${basename(photo)}`);
    await symlink("..", `${folder}/ring 2/back`);
    const shallow = await bench.check(folder, ...fewWillDo);
    expect(namesOf(shallow.report)).toHaveLength(2);
    expect(shallow.said).toContain(
      "2 photos in folders inside this one were not looked at: --recursive adds them.",
    );
    const deep = await bench.check(folder, "--recursive", ...fewWillDo);
    expect(failing(deep.report)).toEqual([]);
    expect(namesOf(deep.report)).toEqual([
      ...four.slice(0, 2).map((path) => basename(path)),
      ...four.slice(2).map((path) => `ring 2/card/${basename(path)}`),
    ]);
    expect(deep.report.leftAlone).toBeUndefined();
    expect(deep.untouched).toBe(true);
  });

  test("raw and JPEG of one shot count once, with videos and sidecars beside them", async () => {
    const stem = basename(four[0]!, ".jpg");
    const folder = await bench.folder(four, {
      [`${stem}.DNG`]: bareRaw(),
      [`${stem}.MOV`]: Buffer.from("moving"),
      [`${stem}.AAE`]: Buffer.from("edits"),
    });
    const run = await bench.check(folder, "--all", ...fewWillDo);
    expect(failing(run.report)).toEqual([]);
    expect(run.report.counts.photos).toBe(4);
    expect(run.said).toContain("among them 1 video of a live photo and 1 sidecar file");
    expect(run.said).toContain("1 raw file was left alone");
  });

  test("photos without EXIF go by file name; checks that need EXIF say so", async () => {
    const bare: Record<string, Uint8Array> = {};
    for (const path of clean) bare[basename(path)] = withoutExif(await readFile(path));
    const run = await bench.check(await bench.folder([], bare), "--all");
    expect(failing(run.report)).toEqual([]);
    expect(run.code).toBe(0);
    expect(run.said).toContain("in order of file name");
    for (const { exif } of run.report.photos) expect(exif).toEqual({ hasLocation: false });
    for (const check of ["zoomed-photo", "changing-settings", "slow-shutter"]) {
      const skipped = run.report.skipped.find((entry) => entry.check === check);
      expect(skipped?.photos, check).toHaveLength(clean.length);
      expect(skipped?.reason, check).toContain("EXIF");
    }
    expect(run.untouched).toBe(true);
  });

  test("four photos retaken at the end of the order are no strays, and nothing is to be added to join them", async () => {
    const run = await bench.check(await bench.folder([...clean, ...retakes]));
    expect(retakes).toHaveLength(4);
    expect(namesOf(run.report).slice(-4)).toEqual(retakes.map((path) => basename(path)));
    expect(failing(run.report)).toEqual([]);
    expect(run.report.skipped.filter(({ check }) => check === "stray-photo")).toEqual([]);
    expect(run.code).toBe(0);
  });

  test("three heights with a jump between them hang together another way", async () => {
    const arc = { photos: 12, spanDeg: 165 };
    const photos = await renderedSet({
      rings: [
        { ...arc, elevationDeg: 10, startDeg: 0 },
        { ...arc, elevationDeg: 25, startDeg: 10 },
        { ...arc, elevationDeg: 40, startDeg: 5 },
      ],
    });
    const run = await bench.check(await bench.folder(photos), "--span", "180");
    expect(failing(run.report)).toEqual([]);
    expect(run.code).toBe(0);
    expect(run.report.around.parts).toHaveLength(1);
    expect(run.report.around.wantedSpanDeg).toBe(180);
    // Where all of the way round is wanted, half of it is missing.
    const whole = await bench.check(await bench.folder(photos));
    expect(whole.code).toBe(1);
    expect(checksIn(failing(whole.report))).toEqual(["one-side"]);
    expect(whole.said).toMatch(/show one side only: they go 1\d\d degrees of the way round/);
    expect(whole.said).toContain("--span");
    // The jump is there: the last photo of a height and the first of the next are half a turn apart.
    for (const last of [11, 23]) {
      const [a, b] = [basename(photos[last]!), basename(photos[last + 1]!)];
      expect(
        run.report.pairs.find((pair) => pair.a === a && pair.b === b)?.verifiedMatches ?? 0,
      ).toBeLessThan(defaultLimits["separate-parts"]!.matches!.value);
    }
  }, 240_000);
});
