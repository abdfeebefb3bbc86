import { describe, expect, test } from "vitest";
import { measureAround } from "#goodgate/measure/coverage/around.js";
import { rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { multiply } from "#goodgate/measure/geometry/vector.js";
import { HAND_HELD, randomSource, ring, type TrueCamera } from "../poses/synthetic.js";
import { type SetOptions, shuffled, synthesise, trueDirections } from "../poses/whole-set.js";

const off = (p: number, q: number) => Math.abs(((p - q + 540) % 360) - 180);

function walk(seed: number, hole?: readonly [number, number], photos = 28): TrueCamera[] {
  const random = randomSource(seed);
  const all = ring({ photos, elevationDeg: 27, portraitRatio: 0.3, jitter: HAND_HELD }, random);
  const kept = hole ? all.filter(({ azimuthDeg }) => azimuthDeg < hole[0] || azimuthDeg > hole[1]) : all;
  return shuffled(kept, random);
}

const solve = (cameras: readonly TrueCamera[], options: SetOptions = {}) => {
  const set = synthesise(cameras, 77, { most: 150, partners: 6, ...options });
  return measureAround(set.photos, set.pairs);
};

describe("measureAround", () => {
  const cameras = walk(5);
  const facts = solve(cameras);

  test("a full ring is one closed part in the middle band, with no wide step", () => {
    expect(facts.parts).toHaveLength(1);
    const [part] = facts.parts;
    expect(part.bands.map(({ name }) => name)).toEqual(["middle"]);
    expect(part.bands[0].closed).toBe(true);
    expect(Math.max(...part.bands[0].steps.map(({ angleDeg }) => angleDeg))).toBeLessThan(25);
    expect(facts).toMatchObject({ focalSource: "exif", focalFactor: 1, upSource: "level surface" });
  });

  test("azimuths are right: median within 1 degree, all within 6, and the stated uncertainty covers most", () => {
    const [part] = facts.parts;
    const truth = trueDirections(cameras, part.photos);
    const errors = part.cameras
      .map(({ azimuthDeg }, k) => off(azimuthDeg, truth[k].azimuthDeg))
      .sort((p, q) => p - q);
    expect(errors[errors.length >> 1]).toBeLessThan(1);
    expect(errors[errors.length - 1]).toBeLessThan(6);
    const covered = part.cameras.filter(
      (c, k) => off(c.azimuthDeg, truth[k].azimuthDeg) <= 3 * c.uncertaintyDeg,
    );
    expect(covered.length / part.cameras.length).toBeGreaterThan(0.9);
  });

  test("the same photos give the same facts", () => {
    expect(solve(cameras)).toEqual(facts);
  });

  test("a hole of about 40 degrees lies between the photos beside it, also with a focal length 10 % off in EXIF", () => {
    const holed = walk(9, [120, 160]);
    for (const focalFactor of [1, 1.1]) {
      const { parts, focalSource, focalFactor: used } = solve(holed, { focalFactor });
      expect(parts).toHaveLength(1);
      const truth = trueDirections(holed, parts[0].photos);
      const order = parts[0].photos
        .map((photo, k) => ({ photo, at: truth[k].azimuthDeg }))
        .sort((p, q) => p.at - q.at);
      const widths = order.map((from, k) => (order[(k + 1) % order.length].at - from.at + 360) % 360);
      const hole = widths.indexOf(Math.max(...widths));
      const widest = parts[0].bands
        .flatMap(({ steps }) => steps)
        .reduce((a, b) => (b.widthDeg > a.widthDeg ? b : a));
      expect(widest.fromPhoto).toBe(order[hole].photo);
      expect(widest.toPhoto).toBe(order[(hole + 1) % order.length].photo);
      expect(Math.abs(widest.widthDeg - widths[hole])).toBeLessThan(3);
      expect(focalSource).toBe(focalFactor === 1 ? "exif" : "measured");
      expect(used * focalFactor).toBeCloseTo(1, 1);
    }
  });

  test("two holes of 80 degrees split the set, and no step spans a hole", () => {
    const all = walk(13, undefined, 36).filter(
      ({ azimuthDeg: at }) => !((at > 50 && at < 130) || (at > 230 && at < 310)),
    );
    const { parts } = solve(all);
    expect(parts).toHaveLength(2);
    expect(parts[0].photos.length + parts[1].photos.length).toBe(all.length);
    const side = ({ azimuthDeg: at }: TrueCamera) => Math.abs(((at + 180) % 360) - 180) < 90;
    for (const { photos } of parts) expect(new Set(photos.map((photo) => side(all[photo]))).size).toBe(1);
  });

  test("a photo that links to nothing is a part of its own, without a direction", () => {
    const set = synthesise(cameras, 77, { most: 150, partners: 6 });
    const pairs = set.pairs.filter(({ i, j }) => i !== 3 && j !== 3);
    const { parts } = measureAround(set.photos, pairs);
    expect(parts.map(({ photos }) => photos.length)).toEqual([cameras.length - 1, 1]);
    expect(parts[1]).toMatchObject({ photos: [3], cameras: [], confidence: 0 });
  });

  test("turning on the spot adds a photo at the same place, not a step", () => {
    const here = cameras[4];
    const turned = { ...here, rotation: multiply(rotationFromAxisAngle([0.02, 0.1, 0]), here.rotation) };
    const [part] = solve([...cameras, turned]).parts;
    const [before, after] = [4, cameras.length].map((photo) => part.cameras.find((c) => c.photo === photo));
    expect(off(before?.azimuthDeg ?? 0, after?.azimuthDeg ?? 180)).toBeLessThan(1);
  });

  test("photos panned from one spot are not placed, and nothing fails", () => {
    const here = cameras[4];
    const panned = Array.from({ length: 8 }, (_, k) => ({
      ...here,
      rotation: multiply(rotationFromAxisAngle([0.01 * (k % 2), 0.1 * (k - 3.5), 0]), here.rotation),
    }));
    const { parts } = solve(panned, { wall: 2500 });
    expect(parts).toHaveLength(1);
    expect(parts[0]).toMatchObject({ cameras: [], confidence: 0 });
  });

  test("without EXIF the confidence is lower or the focal length measured", () => {
    const set = synthesise(cameras, 77, { most: 150, partners: 6 });
    const bare = measureAround(
      set.photos.map(({ features }) => ({ features })),
      set.pairs,
    );
    expect(["assumed", "measured"]).toContain(bare.focalSource);
    if (bare.focalSource === "assumed")
      expect(bare.parts[0].confidence).toBeLessThan(facts.parts[0].confidence);
  });

  test("no photos, no pairs: no parts; photos without pairs: each alone", () => {
    expect(measureAround([], []).parts).toEqual([]);
    const photo = { features: { x: [], y: [], widthPx: 1000, heightPx: 750 } };
    expect(measureAround([photo, photo], []).parts.map(({ photos }) => photos)).toEqual([[0], [1]]);
  });
});
