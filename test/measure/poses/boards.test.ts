import { describe, expect, test } from "vitest";
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { rotationErrors } from "../../evaluate/alignment.js";
import {
  boardPairs,
  boardPhoto,
  boardViews,
  calibratedRays,
  readBoards,
} from "../../evaluate/around-boards.js";

describe("26 real views of a board with calibrated cameras", () => {
  const all = readBoards();
  const views = boardViews(all);
  const pairs = boardPairs(views.length, 54);

  for (const factor of [1, 1.1]) {
    test(`absolute rotations: median within .3, all within 1.5 degrees, the focal length stated as ${factor} times itself`, () => {
      const photos = views.map((view) => {
        const photo = boardPhoto(all, calibratedRays(view), view.series.focalPx);
        return { ...photo, focalLength35Mm: factor * (photo.focalLength35Mm ?? 0) };
      });
      const { parts, focalFactor } = measureAround(photos, pairs);
      expect(parts).toHaveLength(1);
      const cameras = parts[0].solution?.cameras ?? [];
      const errors = rotationErrors(
        cameras.map(({ rotation }) => rotation),
        cameras.map(({ photo }) => views[photo].rotation),
      ).sort((p, q) => p - q);
      expect(errors).toHaveLength(26);
      expect(errors[13]).toBeLessThan(0.3);
      expect(errors[25]).toBeLessThan(1.5);
      expect(focalFactor * factor).toBeCloseTo(1, 1);
    });
  }
});
