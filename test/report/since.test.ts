import { describe, expect, test } from "vitest";
import { captureOrder } from "#goodgate/report/photo-list.js";
import { askedBy, changesSince, sinceSentence } from "#goodgate/report/since.js";
import { renderTerminal } from "#goodgate/report/terminal.js";
import type { Finding, Skipped } from "#goodgate/types/judgement.js";
import { facts, finding, jugNames, photo, report } from "../support/facts.js";

const files = jugNames(12);
const set = facts(files.map((file) => photo(file)));
const soft = (file: string) => finding({ check: "soft-photo", severity: "reshoot", photos: [file] });
const stray = (file: string) => finding({ check: "stray-photo", severity: "leave-out", photos: [file] });
const gap = (one: string, other: string) =>
  finding({ check: "gap", about: "between", severity: "reshoot", photos: [one, other], toAdd: 1 });
const told = (findings: readonly Finding[], about = set, skipped: readonly Skipped[] = []) =>
  report(about, { findings, skipped });
const since = (before: readonly Finding[], now: ReturnType<typeof told>) =>
  changesSince(askedBy(told(before)), now);
const names = (asked: readonly { readonly about: readonly string[] }[]) =>
  asked.map(({ about }) => about.join("+"));

describe("changesSince", () => {
  test("a photo that is at fault no more is mended, one that still is is left, a new fault is new", () => {
    const found = since([soft(files[1]!), soft(files[2]!)], told([soft(files[2]!), soft(files[5]!)]));
    expect(names(found.mended)).toEqual([files[1]]);
    expect(names(found.left)).toEqual([files[2]]);
    expect(names(found.added)).toEqual([files[5]]);
  });

  test("a photo that nobody could judge again is not called mended", () => {
    const skipped = [{ check: "soft-photo", photos: [files[1]!], reason: "too few photos share a surface" }];
    expect(since([soft(files[1]!)], told([], set, skipped)).mended).toEqual([]);
    const all = [{ check: "soft-photo", photos: [], reason: "too few photos" }];
    expect(since([soft(files[1]!)], told([], set, all)).mended).toEqual([]);
  });

  test("a photo that is gone is mended only where it was to be moved out", () => {
    const without = facts(files.filter((_, i) => i !== 1).map((file) => photo(file)));
    expect(names(since([stray(files[1]!)], told([], without)).mended)).toEqual([files[1]]);
    expect(since([soft(files[1]!)], told([], without)).mended).toEqual([]);
  });

  test("a gap of which a part was filled is left, one that is filled is mended", () => {
    const before = [gap(files[3]!, files[6]!)];
    const partly = since(before, told([gap(files[5]!, files[6]!)]));
    expect(names(partly.left)).toEqual([`${files[5]}+${files[6]}`]);
    expect([...partly.mended, ...partly.added]).toEqual([]);
    expect(names(since(before, told([])).mended)).toEqual([`${files[3]}+${files[6]}`]);
  });

  test("notes are nothing that was asked for", () => {
    expect(askedBy(told([finding({ check: "noisy-photo", severity: "note", photos: [files[1]!] })]))).toEqual(
      [],
    );
  });
});

describe("sinceSentence", () => {
  const order = captureOrder(set.photos);

  test("names what was mended and what is new, and counts what is left", () => {
    const found = since(
      [soft(files[1]!), gap(files[3]!, files[6]!), soft(files[9]!)],
      told([soft(files[9]!), soft(files[10]!)]),
    );
    expect(sinceSentence(found, order)).toBe(
      "Since the last run: mended jug_002.jpg, the gap between jug_004.jpg and jug_007.jpg; new jug_011.jpg; 1 left.",
    );
  });

  test("says nothing where nothing changed", () => {
    expect(sinceSentence(since([soft(files[1]!)], told([soft(files[1]!)])), order)).toBeUndefined();
  });

  test("stands in the report under the verdict, in at most two lines", () => {
    const now = told([soft(files[9]!)]);
    const found = since([soft(files[1]!), soft(files[9]!)], now);
    const text = renderTerminal(now, { columns: 80, colour: false, since: found });
    expect(text.split("\n")[3]).toBe("          Since the last run: mended jug_002.jpg; 1 left.");
    expect(renderTerminal(now, { columns: 80, colour: false })).not.toContain("Since");
  });
});
