import { describe, expect, test } from "vitest";
import { automaticSettings } from "#goodgate/checks/automatic-settings.js";
import type { Exif } from "#goodgate/types/exif.js";
import { facts, jugNames, photo } from "../support/facts.js";

const names = jugNames(6);
/** Six photos with EXIF changed by number. */
const judged = (change: (index: number) => Partial<Exif>) => {
  const photos = names.map((file, i) => {
    const good = photo(file);
    return { ...good, exif: { ...good.exif, ...change(i) } };
  });
  return automaticSettings.judge(facts(photos), automaticSettings.limits);
};
const messages = (change: (index: number) => Partial<Exif>) =>
  judged(change).findings.map(({ message }) => message);

describe("automatic-settings", () => {
  test("says nothing of manual settings", () => {
    expect(judged(() => ({}))).toEqual({ findings: [], skipped: [] });
  });

  test("says one note of a set, of white balance, of exposure that moved, and of both", () => {
    const balance = judged(() => ({ whiteBalance: "auto" })).findings;
    expect(balance).toHaveLength(1);
    expect(balance[0]).toMatchObject({ about: "set", severity: "note", photos: [] });
    expect(balance[0]?.message).toBe("White balance was left to the camera in all photos.");
    const moved = (i: number): Partial<Exif> => ({ exposureMode: "auto", ev100: 9 + i / 3 });
    expect(messages(moved)).toEqual(["Exposure was left to the camera in all photos."]);
    expect(messages((i) => ({ ...moved(i), whiteBalance: "auto" }))).toEqual([
      "Exposure and white balance were left to the camera in all photos.",
    ]);
  });

  test("counts the photos it is true of", () => {
    expect(messages((i) => (i === 2 ? { whiteBalance: "auto" } : {}))).toEqual([
      "White balance was left to the camera in one photo.",
    ]);
    expect(messages((i) => (i < 2 ? { whiteBalance: "auto" } : {}))).toEqual([
      "White balance was left to the camera in 2 photos.",
    ]);
  });

  test("takes an automatic exposure that moved by no more than the limit for a locked one", () => {
    expect(messages((i) => ({ exposureMode: "auto", ev100: i === 0 ? 9.1 : 9 }))).toEqual([]);
    expect(messages((i) => ({ exposureMode: "auto", ev100: i === 0 ? 9.11 : 9 }))).toHaveLength(1);
  });

  test("lists photos whose EXIF does not say", () => {
    const without = judged((i) => (i === 0 ? ({ whiteBalance: undefined } as unknown as Partial<Exif>) : {}));
    expect(without.skipped).toMatchObject([{ photos: [names[0]] }]);
    expect(without.findings).toEqual([]);
  });
});
