import { expect, it } from "vitest";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { dataPath, describeWithData } from "../../support/data.js";
import { workingPicture } from "../../support/working.js";
import { overlapCases } from "./overlap-cases.js";

/** Photographs of different places: the documentation of a vision library and the pictures of scikit-image. */
const UNRELATED = [
  dataPathOf("opencv", "graf1.png"),
  dataPathOf("opencv", "aloeL.jpg"),
  dataPathOf("opencv", "leuvenA.jpg"),
  dataPathOf("opencv", "building.jpg"),
  dataPathOf("opencv", "home.jpg"),
  dataPathOf("opencv", "fruits.jpg"),
  dataPathOf("opencv", "baboon.jpg"),
  dataPathOf("opencv", "left01.jpg"),
  dataPathOf("skimage", "coffee.png"),
  dataPathOf("skimage", "astronaut.png"),
  dataPathOf("skimage", "motorcycle_left.png"),
  dataPathOf("skimage", "chelsea.png"),
  dataPathOf("skimage", "hubble_deep_field.jpg"),
  dataPathOf("skimage", "rocket.jpg"),
];

function dataPathOf(place: "opencv" | "skimage", name: string): () => string {
  return () => dataPath(place, name);
}

describeWithData("pairs of real photographs", () => {
  it("overlap is within 0.05 RMS of truth: disparity, homography, stitched shifts", {
    timeout: 120_000,
  }, async () => {
    const cases = await overlapCases();
    expect(cases.length).toBeGreaterThanOrEqual(10);
    const errors = cases.map(({ name, a, b, truth }) => {
      const { overlapRatio } = measurePair(a, b, 1).facts;
      expect(overlapRatio, name).toBeDefined();
      return (overlapRatio ?? Number.NaN) - truth;
    });
    const rms = Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length);
    expect(rms).toBeLessThan(0.05);
  });

  it("no two unrelated photographs are linked", { timeout: 120_000 }, async () => {
    const photos = [];
    for (const path of UNRELATED) {
      photos.push({ path: path(), features: extractFeatures(await workingPicture(path(), 1200)) });
    }
    const linked: string[] = [];
    for (const [i, a] of photos.entries()) {
      for (const b of photos.slice(i + 1)) {
        if (measurePair(a.features, b.features, 1).facts.verifiedMatches > 0)
          linked.push(`${a.path} ${b.path}`);
      }
    }
    expect(linked).toEqual([]);
  });
});
