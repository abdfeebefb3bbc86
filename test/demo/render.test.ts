import { beforeAll, describe, expect, test } from "vitest";
import { projectPoint } from "#goodgate/demo/camera.js";
import { encodePhoto } from "#goodgate/demo/encode.js";
import { cleanDemo, type SetOptions } from "#goodgate/demo/options.js";
import { planSet } from "#goodgate/demo/plan.js";
import { renderLinear, renderPhoto, sceneOf } from "#goodgate/demo/render.js";
import { drawScene } from "#goodgate/demo/shade.js";
import { createTexture } from "#goodgate/demo/texture.js";
import { truthOf } from "#goodgate/demo/truth.js";
import type { RgbImage } from "#goodgate/types/pixels.js";

const options: SetOptions = {
  ...cleanDemo,
  widthPx: 320,
  heightPx: 240,
  portraitShare: 0.5,
  rings: [{ elevationDeg: 25, photos: 8, startDeg: 0, spanDeg: 360 }],
  faults: [{ photo: 3, fault: { kind: "twin" } }],
};

function laplacianVariance({ width, height, data }: RgbImage): number {
  let sum = 0;
  let squares = 0;
  const at = (x: number, y: number): number => data[3 * (y * width + x) + 1];
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      const value = at(x - 1, y) + at(x + 1, y) + at(x, y - 1) + at(x, y + 1) - 4 * at(x, y);
      sum += value;
      squares += value * value;
    }
  }
  const count = (width - 2) * (height - 2);
  return squares / count - (sum / count) ** 2;
}

describe("rendering", () => {
  const plan = planSet(options);
  // Building the scene takes seconds: once for all tests.
  beforeAll(() => {
    sceneOf(options);
  });

  test("the same seed gives the same bytes", async () => {
    const once = await encodePhoto(options, plan.photos[2], renderPhoto(plan, 2).rgb);
    const again = await encodePhoto(options, plan.photos[2], renderPhoto(planSet(options), 2).rgb);
    expect(Buffer.compare(once, again)).toBe(0);
  });

  test("a twin differs from its photo by noise only", () => {
    const a = renderPhoto(plan, 3).rgb.data;
    const b = renderPhoto(plan, 4).rgb.data;
    expect(renderLinear(plan, 3).image.data).toEqual(renderLinear(plan, 4).image.data);
    let squares = 0;
    for (let i = 0; i < a.length; i++) squares += (a[i] - b[i]) ** 2;
    expect(squares).toBeGreaterThan(0);
    expect(Math.sqrt(squares / a.length)).toBeLessThan(3);
  });

  test("marks at known points of the surface are seen at the pixels that the truth says", () => {
    const large = planSet({ ...options, widthPx: 1280, heightPx: 960 });
    // White all over, so that the texture does not pull the middle of a mark aside.
    const white = createTexture(1, 1, Uint8Array.of(255, 255, 255));
    const drawn = sceneOf(options);
    const scene = {
      ...drawn,
      surfaces: drawn.surfaces.map((part) => ({ ...part, texture: white, detail: 0 })),
    };
    // Some vertices of the body glow: what they add to the picture has its middle on the vertex.
    const vertices = Array.from({ length: 23 }, (_, i) => 2000 + 701 * i);
    const light = Float32Array.from(scene.light);
    for (const vertex of vertices) for (let c = 0; c < 3; c++) light[3 * vertex + c] += 1000;
    const errorsX: number[] = [];
    const errorsY: number[] = [];
    for (const index of [0, 2, 5]) {
      const { camera } = large.photos[index];
      const { widthPx: width, heightPx: height } = camera;
      const draw = (lit: Float32Array): Float32Array => {
        const image = { width, height, data: new Float32Array(3 * width * height) };
        drawScene({ ...scene, light: lit }, camera, image, undefined);
        return image.data;
      };
      const before = draw(scene.light);
      const after = draw(light);
      const { rotation: r, cameraCentre, principalPx, focalPx } = truthOf(large).photos[index];
      for (const vertex of vertices) {
        const [x, y, z] = scene.positions.subarray(3 * vertex, 3 * vertex + 3);
        const d = [x - cameraCentre[0], y - cameraCentre[1], z - cameraCentre[2]];
        const depth = r[6] * d[0] + r[7] * d[1] + r[8] * d[2];
        const px = principalPx[0] + (focalPx * (r[0] * d[0] + r[1] * d[1] + r[2] * d[2])) / depth;
        const py = principalPx[1] + (focalPx * (r[3] * d[0] + r[4] * d[1] + r[5] * d[2])) / depth;
        expect(projectPoint(camera, [x, y, z])?.x).toBeCloseTo(px, 6);
        const normal = scene.normals.subarray(3 * vertex, 3 * vertex + 3);
        const facing = -(d[0] * normal[0] + d[1] * normal[1] + d[2] * normal[2]) / Math.hypot(...d);
        if (facing < 0.5) continue; // seen too flat to have a middle
        let sum = 0;
        let sumX = 0;
        let sumY = 0;
        for (let row = Math.round(py) - 14; row <= Math.round(py) + 14; row++) {
          for (let column = Math.round(px) - 14; column <= Math.round(px) + 14; column++) {
            const at = 3 * (row * width + column);
            const extra = after[at] - before[at];
            sum += extra;
            sumX += extra * column;
            sumY += extra * row;
          }
        }
        expect(sum).toBeGreaterThan(0);
        errorsX.push(sumX / sum - px);
        errorsY.push(sumY / sum - py);
      }
    }
    expect(errorsX.length).toBeGreaterThan(12);
    // Marks that the handle half hides have their middle elsewhere, so the middle value is judged: a picture half a
    // pixel off would show.
    for (const errors of [errorsX, errorsY]) {
      const sorted = errors.toSorted((p, q) => p - q);
      expect(Math.abs(sorted[sorted.length >> 1])).toBeLessThan(0.15);
      expect(errors.filter((error) => Math.abs(error) < 0.7).length / errors.length).toBeGreaterThan(0.9);
    }
  });

  test("the mask holds the middle of the subject, not the corners, and a stated share of the picture", () => {
    const { mask } = renderLinear(plan, 0);
    const { camera } = plan.photos[0];
    const middle = projectPoint(camera, plan.subjectCentre);
    expect(mask[Math.round(middle?.y ?? 0) * camera.widthPx + Math.round(middle?.x ?? 0)]).toBe(255);
    expect(mask[0]).toBe(0);
    const share = mask.reduce((sum, value) => sum + value, 0) / 255 / mask.length;
    expect(share).toBeGreaterThan(0.05);
    expect(share).toBeLessThan(0.3);
  });

  test("every pixel sees something, and almost nothing clips", () => {
    const { image } = renderLinear(plan, 1);
    let clipped = 0;
    for (let i = 0; i < image.data.length; i += 3) {
      expect(image.data[i] + image.data[i + 1] + image.data[i + 2]).toBeGreaterThan(0);
      if (Math.max(image.data[i], image.data[i + 1], image.data[i + 2]) >= 1) clipped++;
    }
    expect(clipped / (image.data.length / 3)).toBeLessThan(0.02);
  });

  test("a blurred photo is softer than its sharp self by a wide margin", () => {
    const soft = planSet({ ...options, faults: [{ photo: 3, fault: { kind: "defocus", sigmaPx: 12 } }] });
    const sharp = laplacianVariance(renderPhoto(plan, 3).rgb);
    expect(laplacianVariance(renderPhoto(soft, 3).rgb)).toBeLessThan(sharp / 5);
  });
});
