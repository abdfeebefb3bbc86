import { describe, expect, test } from "vitest";
import { projectPoint } from "#goodgate/demo/camera.js";
import { cleanDemo, defaultDemo, type Fault, type SetOptions } from "#goodgate/demo/options.js";
import { planSet } from "#goodgate/demo/plan.js";
import { truthOf } from "#goodgate/demo/truth.js";

const steady = {
  aimDeg: 0,
  rollDeg: 0,
  elevationDeg: 0,
  azimuthDeg: 0,
  distanceRatio: 0,
  exposureStops: 0,
  softnessPx: 0,
};

const ring: SetOptions = {
  ...cleanDemo,
  portraitShare: 0,
  rings: [{ elevationDeg: 30, photos: 12, startDeg: 0, spanDeg: 360 }],
};

const withFault = (photo: number, fault: Fault): SetOptions => ({ ...ring, faults: [{ photo, fault }] });

describe("the plan of a set", () => {
  test("a steady hand on a ring of 12 steps 30 degrees clockwise at one height, aimed at the middle", () => {
    const plan = planSet({ ...ring, jitter: steady });
    truthOf(plan).photos.forEach((photo, i) => {
      expect(photo.azimuthDeg).toBeCloseTo(30 * i, 6);
      expect(photo.elevationDeg).toBeCloseTo(30, 6);
      const middle = projectPoint(plan.photos[i].camera, plan.subjectCentre);
      expect(middle?.x).toBeCloseTo(photo.principalPx[0], 6);
      expect(middle?.y).toBeCloseTo(photo.principalPx[1], 6);
    });
  });

  test("the focal length in pixels is by diagonal: 28 mm on 4032 x 3024 is 3261 px", () => {
    const plan = planSet({ ...ring, widthPx: 4032, heightPx: 3024 });
    expect(plan.photos[0].camera.focalPx).toBeCloseTo(3261.4, 0);
  });

  test("rotations are rotations and turn the world's z axis upward in the picture", () => {
    for (const { rotation: r } of truthOf(planSet(ring)).photos) {
      const [a, b, c] = [r.slice(0, 3), r.slice(3, 6), r.slice(6, 9)];
      const dot = (p: readonly number[], q: readonly number[]): number =>
        p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
      for (const one of [dot(a, a), dot(b, b), dot(c, c)]) expect(one).toBeCloseTo(1, 9);
      for (const none of [dot(a, b), dot(b, c), dot(a, c)]) expect(none).toBeCloseTo(0, 9);
      expect(r[5]).toBeLessThan(-0.7);
    }
  });

  test("a fault moves no camera, and a skipped arc moves none that is left", () => {
    const clean = planSet(ring).photos;
    const blurred = planSet(withFault(3, { kind: "defocus", sigmaPx: 2 })).photos;
    expect(blurred.map((photo) => photo.camera)).toEqual(clean.map((photo) => photo.camera));
    const arc = planSet({ ...ring, skippedArcs: [{ ring: 0, fromDeg: 85, toDeg: 155 }] }).photos;
    const kept = clean.filter((_, i) => i < 3 || i > 5);
    expect(arc.map((photo) => photo.camera)).toEqual(kept.map((photo) => photo.camera));
  });

  test("a skipped arc may run through north", () => {
    const plan = planSet({ ...ring, jitter: steady, skippedArcs: [{ ring: 0, fromDeg: 325, toDeg: 35 }] });
    expect(plan.photos.map((photo) => Math.round(photo.azimuthDeg))).toEqual([
      60, 90, 120, 150, 180, 210, 240, 270, 300,
    ]);
  });

  test("a twin follows its photo with the same camera and new noise", () => {
    const { photos } = planSet(withFault(4, { kind: "twin" }));
    expect(photos).toHaveLength(13);
    expect(photos[5].camera).toEqual(photos[4].camera);
    expect(photos[5].noiseSeed).not.toBe(photos[4].noiseSeed);
    expect(photos[4].faults).toEqual([]);
  });

  test("a retake comes last, from nearly the same place", () => {
    const { photos } = planSet(withFault(4, { kind: "retake" }));
    const last = photos[photos.length - 1];
    expect(last.walkIndex).toBe(4);
    expect(Math.abs(last.azimuthDeg - photos[4].azimuthDeg)).toBeLessThan(8);
    expect(last.camera).not.toEqual(photos[4].camera);
  });

  test("zoom lengthens the focal length of its photo alone", () => {
    const { photos } = planSet(withFault(4, { kind: "zoom", factor: 1.8, digital: true }));
    expect(photos[4].camera.focalPx / photos[3].camera.focalPx).toBeCloseTo(1.8, 9);
  });

  test("a stray has no direction around the subject", () => {
    const stray = truthOf(planSet(withFault(4, { kind: "stray", subject: "lamp" }))).photos[5];
    expect(stray.faults).toEqual([{ kind: "stray", subject: "lamp" }]);
    expect(stray.azimuthDeg).toBeUndefined();
  });

  test("a fault on a photo that is not on the walk is refused", () => {
    expect(() => planSet(withFault(12, { kind: "twin" }))).toThrow("photos 0 to 11");
  });

  test("shuffled names are the same names in another order; times still rise", () => {
    const ordered = planSet(ring).photos;
    const shuffled = planSet({ ...ring, naming: "shuffled" }).photos;
    expect(shuffled.map((photo) => photo.file)).not.toEqual(ordered.map((photo) => photo.file));
    expect(shuffled.map((photo) => photo.file).sort()).toEqual(ordered.map((photo) => photo.file));
    for (let i = 1; i < shuffled.length; i++) {
      expect(shuffled[i].capturedMs).toBeGreaterThan(shuffled[i - 1].capturedMs);
    }
  });

  test("portrait photos are about their share, upright in the plan and on their side in the file", () => {
    const rings = [{ elevationDeg: 20, photos: 200, startDeg: 0, spanDeg: 360 }];
    const { photos } = planSet({ ...ring, rings, portraitShare: 0.4 });
    const portrait = photos.filter((photo) => photo.orientation !== 1);
    // 200 draws at 0.4: standard deviation 6.9.
    expect(Math.abs(portrait.length - 80)).toBeLessThan(21);
    for (const { camera } of portrait) expect([camera.widthPx, camera.heightPx]).toEqual([1200, 1600]);
  });

  test("a turned subject: the camera stands still, but in the subject's frame it goes round", () => {
    const plan = planSet({ ...ring, jitter: steady, walk: "turned" });
    const { photos } = truthOf(plan);
    for (const photo of plan.photos) expect(photo.camera.centre).toEqual(plan.photos[0].camera.centre);
    const fromAxis = photos.map(
      ({ cameraCentre: [x, y] }) => ((Math.atan2(x, y) * 180) / Math.PI + 360.001) % 360,
    );
    fromAxis.forEach((azimuth, i) => {
      expect(azimuth).toBeCloseTo(30 * i, 1);
    });
  });

  test("the demo has 49 photos in two rings and every kind of fault it is there for", () => {
    const { photos } = planSet(defaultDemo);
    expect(photos).toHaveLength(49);
    const kinds = new Set(photos.flatMap((photo) => photo.faults.map((fault) => fault.kind)));
    expect([...kinds].sort()).toEqual(
      ["colour-cast", "defocus", "exposure", "location", "motion", "retake", "stray", "twin", "zoom"].sort(),
    );
    expect(planSet(cleanDemo).photos.every((photo) => photo.faults.length === 0)).toBe(true);
  });
});
