import { describe, expect, it } from "vitest";
import { exposureToRemove, unexplainedStops } from "#goodgate/measure/light/exposure.js";

describe("exposure to be removed", () => {
  it("is what EXIF says where it is complete: a stop less light let in is a stop darker", () => {
    const { source, stops } = exposureToRemove([
      { ev100: 7, exposureOffsetStops: 0 },
      { ev100: 8, exposureOffsetStops: -1 },
      { ev100: 7, exposureOffsetStops: 0 },
    ]);
    expect(source).toBe("exif");
    expect(stops).toEqual([0, -1, 0]);
  });

  it("is the shared surface's where one photo has no EXIF", () => {
    const { source, stops } = exposureToRemove([
      { ev100: 7, exposureOffsetStops: 0.3 },
      { exposureOffsetStops: -0.2 },
      {},
    ]);
    expect(source).toBe("matched surface");
    expect(stops).toEqual([0.3, -0.2, undefined]);
  });

  it("is the shared surface's where the photos contradict EXIF", () => {
    // One exposure by EXIF, but each picture was brightened to its own taste.
    const photos = [0.4, -0.4, 0.3, -0.5, 0, 0.5].map((exposureOffsetStops) => ({
      ev100: 7,
      exposureOffsetStops,
    }));
    expect(exposureToRemove(photos).source).toBe("matched surface");
  });
});

describe("what exposure does not explain", () => {
  it("is the change of the light", () => {
    const photos = [
      { ev100: 7, exposureOffsetStops: 0 },
      { ev100: 8, exposureOffsetStops: -1 },
      { ev100: 7, exposureOffsetStops: -0.8 },
    ];
    const left = unexplainedStops(photos);
    expect(left[0]).toBeCloseTo(0, 12);
    expect(left[1]).toBeCloseTo(0, 12);
    expect(left[2]).toBeCloseTo(-0.8, 12);
  });

  it("is unknown where EXIF or shared surface is", () => {
    expect(unexplainedStops([{ ev100: 7 }, { exposureOffsetStops: 1 }])).toEqual([undefined, undefined]);
  });
});
