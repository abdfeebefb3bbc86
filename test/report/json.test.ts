import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";
import { judge } from "#goodgate/checks/index.js";
import { factsFromJson, type ReportDocument, renderJson, reportFromJson } from "#goodgate/report/json.js";
import type { Finding } from "#goodgate/types/judgement.js";
import { facts, photo, report } from "../support/facts.js";
import { cleanReport, jugFacts, jugReport } from "../support/jug-report.js";

const schema = JSON.parse(readFileSync("docs/report.schema.json", "utf8"));
const validate = new Ajv2020({ allErrors: true, strictTuples: false }).compile(schema);
const parsed = (one = jugReport()) => JSON.parse(renderJson(one)) as ReportDocument;

describe("renderJson", () => {
  test("fits the schema", () => {
    for (const one of [jugReport(), cleanReport()])
      expect(validate(parsed(one)), JSON.stringify(validate.errors)).toBe(true);
  });

  test("says that a set was judged strictly, and nothing where it was not", () => {
    const one = jugReport();
    const strict = parsed({ ...one, judgement: { ...one.judgement, strict: true } });
    expect(validate(strict), JSON.stringify(validate.errors)).toBe(true);
    expect(strict.strict).toBe(true);
    expect(parsed(one)).not.toHaveProperty("strict");
  });

  test("the schema refuses a misspelt, a missing and a misplaced name, and a wrong unit", () => {
    // biome-ignore lint/suspicious/noExplicitAny: the point is to write what the types forbid
    const broken = (change: (document: any) => void) => {
      const document = structuredClone(parsed());
      change(document);
      return validate(document);
    };
    expect(broken(() => {})).toBe(true);
    expect(
      broken((d) => {
        d.verdikt = d.verdict;
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        delete d.counts.toAdd;
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        d.photos[0].exif.focalLength35mm = 26;
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        d.photos[0].exif.serialNumber = "1";
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        d.photos[0].measures.blockedRatio.unit = "stops";
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        d.photos[0].measures.sharpness = { value: 1, unit: "ratio" };
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        d.pairs[0].colourDrift.green = 0;
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        d.findings[0].severity = "fatal";
      }),
    ).toBe(false);
    expect(
      broken((d) => {
        delete d.findings.find((finding: Finding) => finding.limit !== undefined).limit.source;
      }),
    ).toBe(false);
  });

  test("holds the names that other programs read", () => {
    const document = parsed();
    for (const name of [
      "schemaVersion",
      "tool",
      "folder",
      "verdict",
      "counts",
      "photos",
      "pairs",
      "findings",
      "skipped",
      "limits",
    ])
      expect(document).toHaveProperty(name);
    expect(document.schemaVersion).toBe(2);
    expect(Object.keys(document.counts)).toEqual(["photos", "pass", "edit", "leaveOut", "reshoot", "toAdd"]);
    for (const name of [
      "laplacianVariance",
      "bandRatio",
      "clippedAnyRatio",
      "clippedAllRatio",
      "blockedRatio",
      "meanLuminanceStops",
      "noiseSigma",
    ])
      expect(document.photos[0]!.measures).toHaveProperty(name);
  });

  test("the verdict of each photo is the judge's", () => {
    const verdicts = Object.fromEntries(parsed().photos.map(({ file, verdict }) => [file, verdict]));
    expect(verdicts).toMatchObject({
      "jug_001.jpg": "pass",
      "jug_005.jpg": "leave-out",
      "jug_012.jpg": "reshoot",
      "jug_021.jpg": "edit",
    });
  });

  test("what was not measured is absent, not null and not zero", () => {
    const stray = parsed().photos.find(({ file }) => file === "jug_040.jpg")!;
    expect(stray.measures).not.toHaveProperty("sharpnessOffsetStops");
    expect(stray.exif).toEqual({ hasLocation: false });
    expect(parsed(cleanReport())).not.toHaveProperty("atMost");
  });

  test("nothing slips in by being in memory: serial numbers, owners, coordinates", () => {
    const spying = { ...photo("jug_001.jpg").exif, serialNumber: "SN-1", ownerName: "Ada", latitude: 51.5 };
    const text = renderJson(report(facts([photo("jug_001.jpg", { exif: spying })])));
    expect(text).not.toMatch(/SN-1|Ada|51\.5/);
  });

  test("the same report gives the same bytes, and one line break at the end", () => {
    expect(renderJson(jugReport())).toBe(renderJson(jugReport()));
    expect(renderJson(jugReport())).toMatch(/[^\n]\n$/);
  });

  test("control characters and turned reading directions are escaped, and come back", () => {
    const name = "a\u001b\u009b\u202e\u2028.jpg";
    const text = renderJson(report(facts([photo(name)])));
    expect(text.replaceAll("\n", "")).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u2028-\u202e]/);
    expect(JSON.parse(text).photos[0].file).toBe(name);
  });
});

describe("factsFromJson", () => {
  test("judging saved facts again by the saved limits gives the same findings, verdicts and gaps", () => {
    const { judgement: first } = jugReport();
    // A set without findings would prove nothing.
    expect(first.findings.length).toBeGreaterThan(3);
    const saved = parsed();
    const again = judge(factsFromJson(saved), saved.limits, { strict: false });
    expect(again).toEqual(first);
    expect(saved.findings).toEqual(first.findings);
    expect(saved.skipped).toEqual(first.skipped);
  });

  test("gives back the facts that were judged", () => {
    const judged = { ...jugFacts(), atMostPhotos: 80 };
    expect(factsFromJson(parsed(report(judged)))).toEqual(judged);
  });

  test("refuses a report of another version", () => {
    expect(() => factsFromJson({ ...parsed(), schemaVersion: 3 as never })).toThrow(
      /schemaVersion 2, found 3/,
    );
  });
});

describe("reportFromJson", () => {
  test("gives the report back as it was written, judged or not by today's checks", () => {
    for (const one of [jugReport(), cleanReport()]) {
      const { around, ...judgement } = one.judgement;
      const read = reportFromJson(parsed(one));
      expect(renderJson(read)).toBe(renderJson(one));
      expect(read.judgement).toMatchObject(judgement);
      expect(read.judgement.around.placed).toEqual(around.placed);
      expect([...read.judgement.around.wide]).toEqual([...around.wide]);
      expect([...read.judgement.around.gaps]).toEqual([...around.gaps]);
    }
  });

  test("keeps that a set is to be taken anew", () => {
    const one = jugReport();
    const anew = { ...one, judgement: { ...one.judgement, anew: true as const } };
    expect(validate(parsed(anew)), JSON.stringify(validate.errors)).toBe(true);
    expect(reportFromJson(parsed(anew)).judgement.anew).toBe(true);
  });
});
