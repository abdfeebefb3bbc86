import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { renderTerminal } from "#goodgate/report/terminal.js";
import { displayWidth } from "#goodgate/report/text.js";
import { toDo } from "#goodgate/report/to-do.js";
import type { Finding } from "#goodgate/types/judgement.js";
import type { Report } from "#goodgate/types/report.js";
import { aroundParts } from "../support/around.js";
import { facts, finding, jugNames, photo, report } from "../support/facts.js";
import { cleanReport, jugReport } from "../support/jug-report.js";

const short = (one: Report, columns = 80) => renderTerminal(one, { columns, colour: false });
const lines = (one: Report, columns = 80) => short(one, columns).trimEnd().split("\n");

const names = Array.from({ length: 100 }, (_, i) => `IMG_20260501_${140_000 + 7 * i}.jpg`);
const hundred = facts(
  names.map((file) => photo(file)),
  {
    around: aroundParts([
      names.map((file, i) => ({ file, azimuthDeg: (7.2 * i) % 360, elevationDeg: i < 50 ? 8 : 30 })),
    ]),
  },
);

const KINDS: readonly ((file: string) => Finding)[] = [
  (file) =>
    finding({
      check: "soft-photo",
      severity: "reshoot",
      photos: [file],
      message: `${file} is out of focus or shaken: it holds 7.2 times less fine detail than the photos around it.`,
      advice: "Take it again: tap on the subject to focus, and hold still until the shutter has closed.",
    }),
  (file) =>
    finding({
      check: "blown-photo",
      severity: "reshoot",
      photos: [file],
      message: `${file} is burnt out: 93 % of the subject is so bright that no detail is left.`,
      advice: "Take it again a little darker: set exposure on the subject and lock it.",
    }),
  (file) =>
    finding({
      check: "stray-photo",
      severity: "leave-out",
      photos: [file],
      message: `${file} shows nothing that the rest of the set shows.`,
      advice: `Move it out of the folder. Only if it was meant to show the subject, take that side again from ${file}.`,
    }),
  (file) =>
    finding({
      check: "exposure-step",
      severity: "edit",
      photos: [file],
      message: `${file} is ${file.at(-5)} stops darker than the rest of the set, on the same surface.`,
      advice: `Make it ${file.at(-5)} stops brighter in a photo editor before the upload.`,
    }),
  (file) =>
    finding({
      check: "raw-preview",
      severity: "reshoot",
      photos: [file],
      message: `${file} ends early: its preview is there, its raw picture is not all there.`,
      advice: "Copy it again from the camera; if that fails, take it again.",
    }),
];

/** Some photos, each with a fault of some kind. */
const faults = (most: number) =>
  fc
    .array(fc.tuple(fc.nat(99), fc.nat(KINDS.length - 1)), { minLength: 1, maxLength: most })
    .map((drawn) => drawn.map(([place, kind]) => KINDS[kind]!(names[place]!)));

describe("the report one acts on", () => {
  test("begins and ends with the verdict and what to do", () => {
    const told = lines(jugReport());
    expect(told[0]).toMatch(/^RESHOOT {3}stoneware-jug is not ready to upload\.$/);
    expect(told[1]).toContain("See to 2 files, take 4 photos again, add 2, move out 2 and edit 1.");
    expect(told.at(-1)).toBe("RESHOOT: see to 2 files, take 4 photos again, add 2, move out 2 and edit 1.");
  });

  test("a clean set is told in a few lines, its notes counted", () => {
    const told = lines(cleanReport());
    expect(told.length).toBeLessThan(10);
    expect(short(cleanReport())).toContain("2 notes ask for nothing; --all prints them.");
    expect(told.at(-1)).toBe("PASS: nothing to do.");
  });

  test("a set of which nothing more is to be said ends with its verdict, once", () => {
    expect(lines(report(facts(jugNames(12).map((file) => photo(file)))))).toEqual([
      "PASS      stoneware-jug is ready to upload.",
      "          Nothing to do.",
      "          12 photos, all of them good as they are.",
    ]);
  });

  test("up to 12 faults in up to 100 photos take at most 45 lines of 80 columns", () => {
    fc.assert(
      fc.property(faults(12), (findings) => {
        expect(lines(report(hundred, { findings })).length).toBeLessThanOrEqual(45);
      }),
      { seed: 5, numRuns: 60 },
    );
  });

  test("no number of faults takes more than 70 lines; what is left out is counted", () => {
    fc.assert(
      fc.property(faults(100), fc.constantFrom(80, 100, 120), (findings, columns) => {
        const one = report(hundred, { findings });
        const told = lines(one, columns);
        expect(told.length).toBeLessThanOrEqual(70);
        const all = toDo(one).tasks.length;
        const cut = told.map((line) => Number(/and (\d+) more: --quiet/.exec(line)?.[1] ?? 0));
        const labels = told.filter((line) => /^(again|add \d+)/.test(line)).length;
        expect(labels).toBeLessThanOrEqual(all);
        const walked = toDo(one).tasks.filter(({ kind }) => kind === "again" || kind === "add").length;
        if (cut.every((number) => number === 0)) expect(labels).toBe(walked);
      }),
      { seed: 6, numRuns: 40 },
    );
  });

  test("a thing to do takes at most two lines of 80 columns", () => {
    const one = report(hundred, { findings: names.slice(0, 12).map((file, i) => KINDS[i % 5]!(file)) });
    const told = lines(one);
    let inside = 0;
    for (const line of told.slice(told.findIndex((own) => own.startsWith("SHOOT")) + 1)) {
      if (line === "" || line.startsWith("how")) break;
      inside = line.startsWith(" ") ? inside + 1 : 1;
      expect(inside).toBeLessThanOrEqual(2);
    }
  });

  test("measured values and limits, numbers of photos and notes are not in it", () => {
    const text = short(jugReport());
    expect(text).not.toMatch(/measured|limit|no\. \d|slow shutter/);
  });

  test("every photo that asks for something is named, or it says where all are", () => {
    const one = jugReport();
    const text = short(one);
    for (const { photos } of toDo(one).tasks)
      if (photos.length < 3) for (const file of photos) expect(text).toContain(file);
    expect(text).toContain("jug_012.jpg to jug_014.jpg (3 photos)");
    const many = report(hundred, {
      findings: names
        .slice(0, 90)
        .filter((_, i) => i % 2 === 0)
        .map(KINDS[2]!),
    });
    expect(short(many)).toContain("Not all photos are named here: --quiet has a line for each.");
  });

  test("photos to take again say where to stand", () => {
    const text = short(jugReport(), 100);
    expect(text).toContain("with jug_001.jpg at 6 o'clock");
    expect(text).toContain("At 9 o'clock, at middle height, between jug_029.jpg and jug_031.jpg.");
    expect(text).toContain(
      "At 10 o'clock, low down, between jug_010.jpg and jug_011.jpg: a gap of 44 degrees.",
    );
  });

  test("how to take them is said once for each fault", () => {
    expect(short(jugReport(), 100).match(/tap on the subject to focus/g)).toHaveLength(1);
  });

  test("the order they were taken is spoken of only where times tell it", () => {
    const files = jugNames(3);
    const known = facts(files.map((file) => photo(file)));
    const findings = [KINDS[0]!(files[1]!)];
    expect(short(report(known, { findings }))).toContain("In the order they were taken:");
    const byName = short(report({ ...known, orderedBy: "file name" }, { findings }));
    expect(byName).not.toContain("order they were taken");
    expect(byName).toContain("By file name, since no capture times tell an order:");
  });

  test("no line is wider than the screen", () => {
    for (const columns of [48, 60, 80, 120])
      for (const line of lines(jugReport(), columns))
        expect(displayWidth(line), line).toBeLessThanOrEqual(columns);
  });

  test("no line is wider than the screen, and no control character gets through, whatever files are called", () => {
    const name = fc.string({ unit: "binary", minLength: 1, maxLength: 200 });
    fc.assert(
      fc.property(name, fc.integer({ min: 48, max: 120 }), fc.nat(4), (file, columns, kind) => {
        const one = report(facts([photo(file), photo("jug_002.jpg")]), { findings: [KINDS[kind]!(file)] });
        const text = short(one, columns);
        for (const line of text.split("\n")) expect(displayWidth(line)).toBeLessThanOrEqual(columns);
        expect(text.replaceAll("\n", "")).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e]/);
      }),
      { seed: 8, numRuns: 200 },
    );
  });

  test("colour changes no letter", () => {
    const coloured = renderTerminal(jugReport(), { columns: 80, colour: true });
    expect(coloured).toContain("\u001b[");
    expect(coloured.replaceAll(/\u001b\[\d+m/g, "")).toBe(short(jugReport()));
  });
});

describe("quiet", () => {
  const quiet = (one: Report) => renderTerminal(one, { columns: 80, colour: false, form: "quiet" });

  test("is the verdict, then a line a photo or gap: what to do, file, reason", () => {
    expect(quiet(jugReport()).split("\n")).toEqual([
      "RESHOOT: stoneware-jug. See to 2 files, take 4 photos again, add 2, move out 2 and edit 1.",
      "file\tjug_049.jpg\tthe file ends in the middle of the picture",
      "file\tIMG_2207.DNG\ta raw photo without a preview inside",
      "add 2\tjug_010.jpg and jug_011.jpg\ta gap of 44 degrees",
      "again\tjug_012.jpg\tout of focus or shaken",
      "again\tjug_013.jpg\tout of focus or shaken",
      "again\tjug_014.jpg\tout of focus or shaken",
      "again\tjug_030.jpg\tburnt out; out of focus or shaken",
      "out\tjug_005.jpg\tout of focus or shaken",
      "out\tjug_040.jpg\tshows nothing that the rest of the set shows",
      "edit\tjug_021.jpg\t0.7 stops brighter than the rest of the set, on the same surface",
      "",
    ]);
  });

  test("a name with a tab or a line break is still one field", () => {
    const file = "jug\t1\n.jpg";
    const [, line, ...rest] = quiet(report(facts([photo(file)]), { findings: [KINDS[0]!(file)] })).split(
      "\n",
    );
    expect(line!.split("\t")).toEqual(["again", "jug\\t1\\n.jpg", expect.any(String)]);
    expect(rest).toEqual([""]);
  });

  test("a clean set is one line", () => {
    expect(quiet(cleanReport())).toBe("PASS: stoneware-jug. Nothing to do.\n");
  });
});
