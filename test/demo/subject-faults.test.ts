import { describe, expect, test } from "vitest";
import {
  atSize,
  cleanDemo,
  developPhoto,
  type Fault,
  planSet,
  renderLinear,
  type SetOptions,
  spoil,
  subjectTruth,
} from "#goodgate/demo/index.js";

const small: SetOptions = {
  ...cleanDemo,
  widthPx: 480,
  heightPx: 360,
  portraitShare: 0,
  rings: [{ elevationDeg: 15, photos: 8, startDeg: 0, spanDeg: 360 }],
};
const withFault = (fault: Fault, options: Partial<SetOptions> = {}) =>
  planSet({ ...small, ...options, faults: [{ photo: 2, fault }] });

/** Mean squared step from pixel to pixel along rows, over pixels that `wanted` picks. */
function detail(data: Float32Array, width: number, wanted: (pixel: number) => boolean): number {
  let sum = 0;
  let count = 0;
  for (let i = 1; 3 * i < data.length; i++) {
    if (i % width === 0 || !wanted(i) || !wanted(i - 1)) continue;
    sum += (data[3 * i + 1] - data[3 * i - 2]) ** 2;
    count++;
  }
  return sum / count;
}

describe("faults of the frame", () => {
  test.each([0, 90, 180, 270] as const)(
    "a prop moved over edge %i by 5 per cent is cut by 5 per cent",
    (directionDeg) => {
      const plan = withFault({ kind: "cut", areaRatio: 0.05, directionDeg });
      const truth = subjectTruth(plan, 2, renderLinear(plan, 2));
      expect(truth.cutRatio).toBeCloseTo(0.05, 2);
      // The mask at the named edge holds the prop, and that at the opposite edge does not.
      const { mask } = renderLinear(plan, 2);
      const { widthPx: w, heightPx: h } = plan.photos[2].camera;
      const right = Array.from({ length: h }, (_, y) => mask[y * w + w - 1]);
      const left = Array.from({ length: h }, (_, y) => mask[y * w]);
      const upper = [...mask.subarray(0, w)];
      const lower = [...mask.subarray((h - 1) * w)];
      const at = [right, lower, left, upper].map((edge) => edge.some((value) => value > 0));
      expect(at).toEqual([0, 90, 180, 270].map((side) => side === directionDeg));
    },
  );

  test("a small prop has the side asked for, and its neighbours stay as they were", () => {
    const plan = withFault({ kind: "small", sideRatio: 0.25 });
    const shots = [1, 2].map((i) => subjectTruth(plan, i, renderLinear(atSize(plan, 160), i)));
    expect(shots[1].sideRatio).toBeCloseTo(0.25, 1);
    expect(shots[0].sideRatio).toBeGreaterThan(0.4);
    expect(plan.photos[1]).toEqual(planSet(small).photos[1]);
  });
});

describe("focus on one plane", () => {
  const plan = planSet(small);
  const seen = renderLinear(plan, 2);
  const own = { iso: 0, softnessPx: 0, exposureStops: 0, noiseSeed: 1 };
  const width = plan.photos[2].camera.widthPx;
  const onSubject = (i: number) => seen.mask[i] === 255;
  const behind = (i: number) => seen.mask[i] === 0 && seen.focus.inverseDepth[i] < seen.focus.subject / 2;
  const share = (fault: Fault, wanted: (i: number) => boolean) => {
    const sharp = spoil(seen.image, [], own).data;
    const soft = spoil(seen.image, [fault], { ...own, focus: seen.focus }).data;
    return detail(Float32Array.from(soft), width, wanted) / detail(Float32Array.from(sharp), width, wanted);
  };

  test("focused behind the prop, the prop is soft and the background keeps its detail", () => {
    const fault: Fault = { kind: "focus-plane", plane: "background", sigmaPx: 8 };
    expect(share(fault, onSubject)).toBeLessThan(0.4);
    expect(share(fault, behind)).toBeGreaterThan(0.8);
  });

  test("focused on the prop, the background is soft and the prop keeps its detail", () => {
    // Its front and back are off the plane too: with 8 px at the wall, they would be soft by 2.
    const fault: Fault = { kind: "focus-plane", plane: "subject", sigmaPx: 4 };
    expect(share(fault, onSubject)).toBeGreaterThan(0.6);
    expect(share(fault, behind)).toBeLessThan(0.5);
  });

  test("it loses no light", () => {
    const fault: Fault = { kind: "focus-plane", plane: "background", sigmaPx: 8 };
    const mean = (data: Uint8Array) => data.reduce((sum, value) => sum + value, 0) / data.length;
    const soft = spoil(seen.image, [fault], { ...own, focus: seen.focus });
    expect(mean(soft.data) / mean(spoil(seen.image, [], own).data)).toBeCloseTo(1, 1);
  });

  test("without depths it is refused", () => {
    expect(() => spoil(seen.image, [{ kind: "focus-plane", plane: "subject", sigmaPx: 2 }], own)).toThrow(
      "needs to know depths",
    );
  });
});

describe("light and surroundings", () => {
  test("a window behind the prop burns out where it stands and leaves the prop as it was", () => {
    const plain = planSet(small);
    const bright = planSet({ ...small, window: { azimuthDeg: 270, stops: 3 } });
    const opposite = 2; // stands at 90 degrees, so it looks towards 270
    const before = renderLinear(plain, opposite);
    const after = renderLinear(bright, opposite);
    const { data } = developPhoto(bright, bright.photos[opposite], after);
    let blown = 0;
    for (let i = 0; i < after.mask.length; i++) {
      if (data[3 * i] === 255 && data[3 * i + 1] === 255 && data[3 * i + 2] === 255) blown++;
      if (after.mask[i] !== 255) continue;
      expect(after.image.data[3 * i]).toBe(before.image.data[3 * i]);
    }
    expect(blown / after.mask.length).toBeGreaterThan(0.1);
  });

  test("the side away from a single lamp is darker, and turning the lamp turns the dark side", () => {
    const level = (lampAzimuthDeg: number, photo: number) => {
      const plan = atSize(
        planSet({ ...small, material: "plaster", lamps: "one", ambientStops: -1, lampAzimuthDeg }),
        160,
      );
      return subjectTruth(plan, photo, renderLinear(plan, photo)).luminanceStops ?? 0;
    };
    // The lamp stands at 292 degrees: photo 6 of 8 looks from its side, photo 2 from the other.
    expect(level(0, 6) - level(0, 2)).toBeGreaterThan(1);
    expect(level(180, 2) - level(180, 6)).toBeGreaterThan(1);
  });
});
