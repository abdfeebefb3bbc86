import { expect, it } from "vitest";
import { subjectStops } from "#goodgate/measure/light/brightness.js";
import { falloffOf } from "#goodgate/measure/light/falloff.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import {
  halved,
  litRing,
  mix,
  ONE_LAMP_DEG,
  RING_PHOTOS,
  regionOfMask,
  shoot,
  subjectLuminances,
} from "./light-scenes.js";

it("a fixed slice of the light's evaluation: one lamp's falloff within 0.3 stop, its dark side within 30 degrees", {
  timeout: 300_000,
}, () => {
  const ring = litRing("toad", 2, [{ lamps: "one" }]);
  const sides = Array.from({ length: RING_PHOTOS / 2 }, (_, k) => {
    const { lights, mask } = ring.pose(2 * k);
    // Bright enough to clip nothing of a toad under one lamp.
    const image = mix(lights, [1], 2);
    const small = halved(image);
    const { cells } = measurePhoto(shoot(small, k), 1);
    const sorted = subjectLuminances(image, mask);
    const measured = subjectStops(cells, regionOfMask(mask, image.width, image.height, cells))!;
    const truth = Math.log2(sorted[sorted.length >> 1]);
    return { azimuthDeg: ring.azimuthDeg[2 * k], measured, truth };
  });
  const of = (name: "measured" | "truth") =>
    falloffOf(sides.map((side) => ({ azimuthDeg: side.azimuthDeg, stops: side[name] })))!;
  expect(of("truth").falloffStops).toBeGreaterThan(1.5);
  expect(Math.abs(of("measured").falloffStops - of("truth").falloffStops)).toBeLessThan(0.3);
  const off = of("measured").darkSideDeg - ONE_LAMP_DEG - 180;
  expect(Math.abs(((off + 1260) % 360) - 180)).toBeLessThan(30);
});
