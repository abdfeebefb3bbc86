import * as fc from "fast-check";
import { describe, expect, test } from "vitest";
import { narrowest, renderTerminal } from "#goodgate/report/terminal.js";
import { displayWidth } from "#goodgate/report/text.js";
import { facts, finding, jugNames, m, photo, report } from "../support/facts.js";
import { cleanReport, jugReport } from "../support/jug-report.js";

const plain = (one = jugReport(), columns = 80) =>
  renderTerminal(one, { columns, colour: false, form: "all" });
const escapeCode = "\u001b[";

describe("renderTerminal, all of it", () => {
  test("the verdict is the first word", () => {
    expect(plain()).toMatch(/^RESHOOT {2,}stoneware-jug is not ready/);
    expect(plain(cleanReport())).toMatch(/^PASS {2,}stoneware-jug is ready/);
  });

  test("sections come in the order of what to do", () => {
    const headings = plain()
      .split("\n")
      .flatMap((line) => /^(?:[A-Z]+ )*[A-Z]+(?= {2,})/.exec(line)?.[0] ?? []);
    expect(headings).toEqual([
      "RESHOOT",
      "FILES",
      "TAKE AGAIN",
      "ADD",
      "AROUND",
      "MOVE OUT",
      "EDIT",
      "NOTES",
      "ALL PHOTOS",
      "NOT MEASURED",
    ]);
  });

  test("no line is wider than the screen", () => {
    for (const columns of [narrowest, 60, 80, 100, 120])
      for (const line of plain(jugReport(), columns).split("\n"))
        expect(displayWidth(line), line).toBeLessThanOrEqual(columns);
  });

  test("no line is wider than the screen, whatever the files are called", () => {
    const name = fc.string({ unit: "binary", minLength: 1, maxLength: 200 });
    fc.assert(
      fc.property(name, fc.integer({ min: narrowest, max: 120 }), (file, columns) => {
        const one = report(facts([photo(file), photo("jug_002.jpg")]), {
          findings: [
            finding({
              check: "soft-photo",
              severity: "reshoot",
              photos: [file],
              message: `${file} is soft.`,
            }),
          ],
        });
        for (const line of plain(one, columns).split("\n"))
          expect(displayWidth(line)).toBeLessThanOrEqual(columns);
      }),
      { seed: 7, numRuns: 300 },
    );
  });

  test("without colour there is not one escape code; with it there are", () => {
    expect(plain()).not.toContain(escapeCode);
    expect(renderTerminal(jugReport(), { columns: 80, colour: true })).toContain(escapeCode);
  });

  test("colour changes no letter", () => {
    const coloured = renderTerminal(jugReport(), { columns: 80, colour: true, form: "all" });
    expect(coloured.replaceAll(/\u001b\[\d+m/g, "")).toBe(plain());
  });

  test("control characters in names, reasons and EXIF never reach the screen", () => {
    const evil = "jug\u001b[31m\u0007\u009b2J\u202e.jpg";
    const one = report(
      facts([photo(evil)], {
        folder: `set\n${evil}`,
        unreadable: [{ file: `x${evil}`, reason: `odd ${evil}` }],
      }),
      {
        findings: [
          finding({
            check: "soft-photo",
            severity: "reshoot",
            photos: [evil],
            message: `${evil} is soft.`,
            advice: evil,
          }),
        ],
        skipped: [{ check: "zoomed-photo", photos: [evil], reason: evil }],
      },
    );
    const text = plain(one);
    expect(text.replaceAll("\n", "")).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e]/);
    expect(text).toContain("\\x1b[31m");
  });

  test("all that is wrong with one photo stands under it once", () => {
    const text = plain();
    expect(text.match(/^no\. 30 /gm)).toHaveLength(1);
    const entry = text.slice(text.indexOf("\nno. 30 ")).split("\n\n")[0]!;
    expect(entry).toContain("soft-photo");
    expect(entry).toContain("blown-photo");
  });

  test("nothing is to be edited or noted in a photo that is to be taken again", () => {
    const one = report(facts(jugNames(3).map((file) => photo(file))), {
      findings: [
        finding({ check: "soft-photo", severity: "reshoot", photos: ["jug_002.jpg"] }),
        finding({ check: "exposure-step", severity: "edit", photos: ["jug_002.jpg"] }),
      ],
    });
    expect(plain(one)).not.toMatch(/^EDIT /m);
    expect(plain(one)).not.toContain("(exposure-step)");
  });

  test("one finding about many photos is one entry with their names", () => {
    const text = plain();
    expect(text.match(/\(slow-shutter: /g)).toHaveLength(1);
    expect(text).toContain("jug_001.jpg to jug_004.jpg (4 photos)");
  });

  test("advice that neighbours share is said once", () => {
    const advice = /Take it again: tap on the subject to focus/g;
    // Photos 12 to 14 share theirs; 30 has a second finding and keeps its own.
    expect(plain(jugReport(), 120).match(advice)).toHaveLength(2);
  });

  test("every finding is told: its check, its words, its figures", () => {
    const one = jugReport();
    const text = plain(one, 120).replaceAll(/\s+/g, " ");
    for (const { check, message, advice } of one.judgement.findings) {
      expect(text).toContain(check);
      expect(text).toContain(message);
      expect(text.replaceAll("> ", "")).toContain(advice);
    }
    expect(text).toContain("(soft-photo: measured 1.67 px, limit 0.87 px, at a long edge of 1,920 px)");
    expect(text).toContain("(blown-photo: measured 93 %, limit 40 %)");
  });

  test("the table has one line a file, flagged photos marked with what to do", () => {
    const lines = plain().split("\n");
    const start = lines.findIndex((line) => line.includes(" no. photo ")) + 1;
    const rows = lines.slice(start, lines.indexOf("", start));
    expect(rows).toHaveLength(48 + 1 + 1);
    expect(rows[11]).toMatch(/^again {2}12 jug_012\.jpg +-1\.50 /);
    expect(rows[4]).toMatch(/^out +5 jug_005\.jpg/);
    expect(rows[20]).toMatch(/^edit +21 jug_021\.jpg/);
    expect(rows[0]).toMatch(/^ +1 jug_001\.jpg/);
    expect(rows[48]).toMatch(/^copy +jug_049\.jpg +cannot be read$/);
  });

  test("what was not measured is a dash, never a zero", () => {
    expect(plain()).toMatch(/^out {4}40 jug_040\.jpg +- +- +0\.4 +0\.6 +- +0$/m);
  });

  test("a wide screen adds columns", () => {
    expect(plain(jugReport(), 120)).toMatch(/ shutter +ISO$/m);
    expect(plain(jugReport(), 80)).not.toMatch(/ shutter +ISO$/m);
  });

  test("a word of care is there when there is something to shoot, and only then", () => {
    expect(plain()).toContain("lamps get hot");
    expect(plain(cleanReport())).not.toContain("lamps get hot");
    const leaveOut = report(facts(jugNames(12).map((file) => photo(file))), {
      findings: [finding({ check: "twin-photos", severity: "leave-out", photos: ["jug_002.jpg"] })],
    });
    expect(plain(leaveOut)).toMatch(/^TIDY/);
    expect(plain(leaveOut)).not.toContain("lamps get hot");
  });

  test("raw files without a preview ask for no camera", () => {
    const unread = report(facts([photo("jug_001.jpg")], { unsupported: [{ file: "a.dng", kind: "raw" }] }), {
      findings: [finding({ check: "unread-kind", about: "set", severity: "reshoot", photos: ["a.dng"] })],
    });
    expect(plain(unread)).not.toContain("lamps get hot");
    expect(plain(unread)).toContain("See to 1 file.");
  });

  test("files that were left alone are counted by what they are", () => {
    const leftAlone = { liveVideos: 3, sidecars: 1, photosInside: 0, foldersInside: 0, closedFolders: [] };
    const told = (rawBeside: string[]) =>
      plain(
        report(facts([photo("jug_001.jpg")], { otherFiles: 6, leftAlone: { ...leftAlone, rawBeside } })),
      ).replace(/\s+/g, " ");
    expect(told([])).toContain(
      "6 files that are no photos were left alone, among them 3 videos of live photos and 1 sidecar file.",
    );
    expect(told([])).not.toContain("raw");
    expect(told(["jug_001.dng"])).toContain(
      "1 raw file was left alone: the JPEG or HEIC beside it shows the same shot.",
    );
  });

  test.each([
    [1, 0, "1 photo, good as it is."],
    [1, 1, "1 photo, not good as it is."],
    [3, 0, "3 photos, all of them good as they are."],
    [3, 1, "3 photos, 2 of them good as they are."],
    [3, 2, "3 photos, 1 of them good as it is."],
    [3, 3, "3 photos, none of them good as they are."],
  ])("of %i photos with %i to take again, the verdict says how many are good", (photos, again, words) => {
    const files = jugNames(photos);
    const findings = files
      .slice(0, again)
      .map((file) => finding({ check: "soft-photo", about: "photo", severity: "reshoot", photos: [file] }));
    expect(plain(report(facts(files.map((file) => photo(file))), { findings }))).toContain(words);
  });

  test("where no file was left alone, other files are not spoken of", () => {
    const skipped = [{ check: "gap", photos: [], reason: "too few photos" }];
    const told = plain(report(facts([photo("jug_001.jpg")], { otherFiles: 0 }), { skipped }));
    expect(told).toContain("Too few photos.");
    expect(told).not.toContain("other files");
  });

  test("checks that could not judge for one reason are told together", () => {
    const skipped = ["gap", "open-ring"].map((check) => ({ check, photos: [], reason: "nobody knows" }));
    expect(plain(report(facts([photo("jug_001.jpg")]), { skipped }))).toContain("(gap, open-ring)");
  });

  test("a pass with edits does not say that there is nothing to do", () => {
    const one = report(facts(jugNames(12).map((file) => photo(file))), {
      findings: [
        finding({
          check: "exposure-step",
          severity: "edit",
          photos: ["jug_002.jpg"],
          measured: m(0.7, "stops"),
        }),
      ],
    });
    expect(plain(one, 120)).toMatch(/^PASS .*once the photos below are edited/);
    expect(plain(one)).toContain("Edit 1 photo.");
  });

  test("photos of a set that is to be taken anew are not called good as they are", () => {
    const turned = finding({ check: "turned-subject", about: "set", severity: "reshoot", photos: [] });
    const one = report(facts(jugNames(3).map((file) => photo(file))), { findings: [turned] });
    const anew = { ...one, judgement: { ...one.judgement, anew: true as const } };
    expect(plain(anew)).toContain("3 photos, all of them good by themselves.");
    expect(plain(anew)).toContain("Take the whole set again.");
    expect(plain(one)).toContain("3 photos, all of them good as they are.");
  });

  test("a run of photos to edit is something to do, though no single photo is at fault", () => {
    const change = finding({
      check: "light-change",
      about: "between",
      severity: "edit",
      photos: ["jug_001.jpg", "jug_002.jpg"],
    });
    const text = plain(report(facts(jugNames(12).map((file) => photo(file))), { findings: [change] }), 120);
    expect(text).toMatch(/^PASS .*once the photos below are edited\.\n +Edit a run of photos\./);
    expect(text).toMatch(/^EDIT +Good once/m);
  });

  test("a set to be levelled as a whole is one thing to do, and every photo stays good", () => {
    const level = finding({
      check: "exposure-step",
      about: "set",
      severity: "edit",
      photos: [],
      advice: "Have the set levelled.",
    });
    const text = plain(report(facts(jugNames(12).map((file) => photo(file))), { findings: [level] }), 120);
    expect(text).toMatch(/^PASS .*once the photos below are edited\.\n +Have the set levelled\./);
    expect(text).toMatch(/^EDIT +Good once/m);
  });
});
