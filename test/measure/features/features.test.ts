import { describe, expect, it } from "vitest";
import {
  createFeatures,
  DESCRIPTOR_WORDS,
  PATCH_FIELDS,
  polarityOf,
} from "#goodgate/measure/features/features.js";

describe("features", () => {
  it("lie in one block of shared memory, none over another", () => {
    const features = createFeatures(3, 40, 30);
    const arrays = [
      features.x,
      features.y,
      features.scale,
      features.angle,
      features.descriptors,
      features.patches,
    ];
    expect(arrays.every((array) => array.buffer === features.x.buffer)).toBe(true);
    expect(features.x.buffer).toBeInstanceOf(SharedArrayBuffer);
    arrays.forEach((array, k) => {
      array.fill(k + 1);
    });
    arrays.forEach((array, k) => {
      expect(Array.from(array)).toEqual(new Array(array.length).fill(k + 1));
    });
    expect(arrays.map((array) => array.length)).toEqual([3, 3, 3, 3, 3 * DESCRIPTOR_WORDS, 3 * PATCH_FIELDS]);
  });

  it("may be none", () => {
    expect(createFeatures(0, 1, 1).patches.length).toBe(0);
  });

  it("refuse a count or size that is no whole number", () => {
    expect(() => createFeatures(-1, 10, 10)).toThrow(RangeError);
    expect(() => createFeatures(1.5, 10, 10)).toThrow(RangeError);
    expect(() => createFeatures(1, 0, 10)).toThrow(RangeError);
    expect(() => createFeatures(1, 10, Number.NaN)).toThrow(RangeError);
  });

  it("tell bright from dark by the highest bit of the last word", () => {
    const features = createFeatures(2, 10, 10);
    features.descriptors[2 * DESCRIPTOR_WORDS - 1] = 0x80000000;
    expect([polarityOf(features, 0), polarityOf(features, 1)]).toEqual([0, 1]);
  });
});
