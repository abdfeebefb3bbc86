import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { createCells } from "#goodgate/measure/photo/cells.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import type { PairResult } from "#goodgate/pipeline/compare-pair.js";
import { PairAnswers } from "#goodgate/pipeline/pair-answers.js";
import { photoData, storedFacts, storePhoto } from "#goodgate/pipeline/photo-data.js";
import { SHARED, SHARED_MOVING } from "#goodgate/pipeline/questions.js";
import { Store } from "#goodgate/runtime/cache/store.js";
import { sharedNumbers } from "#goodgate/runtime/memory.js";
import { textured } from "../support/pictures.js";

let folder: string;
let store: Store;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-store-"));
  store = new Store({ folder, lasting: true });
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe("a photo's record", () => {
  it("gives back facts, keypoints and cells to the bit, and keypoints in shared memory", () => {
    const { features, cells, ...measured } = measurePhoto(textured(320, 240), 1);
    const facts = { contentHash: "ab", exif: { hasLocation: false }, ...measured };
    expect(storePhoto(store, ["ab", "jpeg"], facts, { features, cells })).toBe(true);
    expect(storedFacts(store, ["ab", "jpeg"])).toEqual(facts);
    const again = photoData(store, { key: ["ab", "jpeg"] });
    expect(again.features).toEqual(features);
    expect(again.features.descriptors.buffer).toBeInstanceOf(SharedArrayBuffer);
    expect(again.cells).toEqual(cells);
  });

  it("that is gone is an error, not an empty photo", () => {
    expect(() => photoData(store, { key: ["gone", "jpeg"] })).toThrow("run again");
  });

  it("that could not be kept is handed over as it is", () => {
    const data = { features: createFeatures(0, 10, 10), cells: createCells(1, 1) };
    expect(photoData(store, { data })).toBe(data);
  });
});

describe("answers of pairs", () => {
  const result = (verifiedMatches: number): PairResult => ({
    facts: { verifiedMatches, verifiedRatio: 0.5 },
    inliers: sharedNumbers([1, 2]),
  });

  it("come back in another run, by both photos and by what was asked", () => {
    const first = new PairAnswers(store, SHARED);
    first.add(["a"], ["b"], result(40));
    first.add(["a"], ["c"], result(50));
    expect(new PairAnswers(store, SHARED).get(["a"], ["b"])).toBeUndefined();
    first.save();
    const second = new PairAnswers(store, SHARED);
    expect(second.get(["a"], ["b"])).toEqual(result(40));
    expect(second.get(["a"], ["c"])).toEqual(result(50));
    expect(second.get(["b"], ["a"])).toBeUndefined();
    expect(new PairAnswers(store, SHARED_MOVING).get(["a"], ["b"])).toBeUndefined();
  });
});
