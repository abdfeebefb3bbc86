import { describe, expect, test } from "vitest";
import { carveHull, projectHull } from "#goodgate/measure/subject/hull.js";
import { placeOf } from "#goodgate/measure/subject/place.js";
import { triangulate } from "#goodgate/measure/subject/points.js";
import {
  centreRegion,
  findSubject,
  heldRegion,
  regionOf,
  type SubjectView,
} from "#goodgate/measure/subject/region.js";
import { BALL, ballScene, type Scene, SIZE, trueMask } from "./scene.js";

function overlap(share: ArrayLike<number>, mask: ArrayLike<number>): number {
  let common = 0;
  let either = 0;
  for (let i = 0; i < share.length; i++) {
    const own = share[i]! >= 0.5;
    if (own && mask[i] === 1) common++;
    if (own || mask[i] === 1) either++;
  }
  return common / either;
}

const find = ({ photos, links, solution }: Scene): SubjectView[] =>
  findSubject(photos.length, (photo) => photos[photo]!, links, [{ solution }]);

const overlaps = (scene: Scene): number[] =>
  find(scene).map(({ region }, k) => overlap(regionOf(region).share, trueMask(scene.views[k]!)));

describe("points of the world", () => {
  const scene = ballScene();
  const points = triangulate(
    scene.views,
    scene.photos.map(({ features }) => features),
    scene.links,
    0.6,
  );

  test("lie where they were made: on the ball, the table or the wall", () => {
    expect(points.count).toBeGreaterThan(500);
    for (let k = 0; k < points.count; k++) {
      const [x, y, z] = points.positions.subarray(3 * k, 3 * k + 3) as unknown as [number, number, number];
      const off = Math.min(
        Math.abs(Math.hypot(x, y, z - BALL.centre[2]) - BALL.radius),
        Math.abs(z),
        Math.abs(Math.hypot(x, y) - 2),
      );
      expect(off).toBeLessThan(1e-3);
    }
  });

  test("the table is found under the ball, and the place is as large as the frame there", () => {
    const place = placeOf(scene.views, points, BALL.centre, [0, 0, 1])!;
    expect(place.plane?.height).toBeCloseTo(0, 3);
    expect(place.plane?.normal[2]).toBeCloseTo(1, 4);
    // 900 px of height at a distance of 0.585 with a focal length of 1080 px: 0.244 from the middle to the edge.
    expect(place.radius).toBeCloseTo(0.244, 2);
    expect(place.reach).toBeCloseTo(0.325, 2);
  });
});

describe("the subject's region", () => {
  test("is held to 1 / 255, with the same cells on the subject", () => {
    const share = Float32Array.from({ length: 1001 }, (_, i) => i / 1000);
    const { share: kept, ...rest } = regionOf(
      heldRegion({ columns: 7, rows: 143, share, confidence: 0.5, source: "geometry" }),
    );
    expect(rest).toEqual({ columns: 7, rows: 143, confidence: 0.5, source: "geometry" });
    for (const [i, chance] of share.entries()) {
      expect(Math.abs(kept[i]! - chance)).toBeLessThanOrEqual(0.5 / 255 + 1e-6);
      expect(kept[i]! >= 0.5).toBe(chance >= 0.5);
    }
  });

  test("a textured ball on a textured table before a textured wall", () => {
    for (const value of overlaps(ballScene())) expect(value).toBeGreaterThan(0.7);
  });

  test("a plain ball is the place all cameras look at where no background match falls", () => {
    for (const value of overlaps(ballScene({ ball: false }))) expect(value).toBeGreaterThan(0.5);
  });

  test("a textured ball in a plain arena, seen on no table, as when it was turned before a camera at rest", () => {
    for (const value of overlaps(ballScene({ table: false, wall: false })))
      expect(value).toBeGreaterThan(0.5);
  });

  test("is sure where matches decide, and less where they do not", () => {
    const mean = (subjects: SubjectView[]) =>
      subjects.reduce((sum, { region }) => sum + region.confidence, 0) / subjects.length;
    const sure = mean(find(ballScene()));
    expect(sure).toBeGreaterThan(0.6);
    expect(mean(find(ballScene({ ball: false })))).toBeLessThan(sure);
  });

  test("photos without a place get the middle of the frame, at low confidence", () => {
    const { photos } = ballScene();
    const [{ region, framing }] = findSubject(1, () => photos[0]!, [], []) as [SubjectView];
    expect(region.source).toBe("centre");
    expect(region.confidence).toBe(0.2);
    const { share } = regionOf(region);
    expect(share[30 * SIZE.columns + 40]).toBeGreaterThan(0.95);
    expect(share[0]).toBeLessThan(0.2);
    expect(framing.cutRatio).toBeUndefined();
  });

  test("more photos than are put together at a time have their subject all the same", () => {
    const { photos, links, solution } = ballScene();
    const rounds = 12;
    const n = photos.length;
    const many = Array.from({ length: rounds }, (_, k) => k * n);
    const subjects = findSubject(
      rounds * n,
      (photo) => photos[photo % n]!,
      many.flatMap((from) => links.map(({ i, j, inliers }) => ({ i: from + i, j: from + j, inliers }))),
      [
        {
          solution: {
            ...solution,
            cameras: many.flatMap((from) =>
              solution.cameras.map((camera, k) => ({ ...camera, photo: from + k })),
            ),
          },
        },
      ],
    );
    expect(subjects).toHaveLength(192);
    expect(subjects.every(({ region }) => region.source === "geometry")).toBe(true);
  });

  test("cameras that look at no one place have no subject", () => {
    const scene = ballScene();
    const { solution } = scene;
    const aside = { ...scene, solution: { ...solution, subjectCentre: [0, 0, 3] } };
    expect(find(aside).every(({ region }) => region.source === "centre")).toBe(true);
  });

  test("the middle of the frame is even in all four quarters", () => {
    const { share, columns } = centreRegion({ columns: 8, rows: 6 });
    expect(share[0]).toBe(share[7]);
    expect(share[0]).toBe(share[5 * columns]);
  });
});

describe("how the subject lies to the frame", () => {
  test("a ball in the middle is not cut, and its box is as large as it looks", () => {
    for (const { framing } of find(ballScene())) {
      expect(framing.cutRatio).toBe(0);
      // Radius 0.1 at 0.585, focal length 1080 px, short side 900 px: 2 * 0.1 / 0.576 * 1080 / 900 = 0.416.
      // A cell is 0.017 of the short side.
      expect(Math.abs(framing.sideRatio - 0.416)).toBeLessThan(0.05);
    }
  });

  test("a ball half out of one photo is cut there by half, as the others know its shape", () => {
    // Camera 4 stands at (0.55, 0, 0.3) and aims so far to its left that the ball's middle lies on its right edge.
    const target = [0, -0.325, 0.1] as const;
    const subjects = find(ballScene({ astray: { camera: 4, target } }));
    const cut = subjects.map(({ framing }) => framing.cutRatio ?? 0);
    expect(cut.filter((_, k) => k !== 4).every((ratio) => ratio === 0)).toBe(true);
    expect(cut[4]).toBeGreaterThan(0.3);
    expect(cut[4]).toBeLessThan(0.7);
  });
});

describe("the hull", () => {
  test("of true outlines is the ball, and looks like it from every side", () => {
    const { views } = ballScene();
    const place = { centre: BALL.centre, radius: 0.24, reach: 0.24, plane: undefined };
    const masks = views.map(trueMask);
    const probabilities = masks.map((mask) => Float32Array.from(mask));
    const hull = carveHull(views, (view) => probabilities[view]!, place);
    let volume = 0;
    for (let k = 0; k < hull.filled.length; k++) if (hull.filled[k]! > 0.5) volume += hull.side ** 3;
    // A ring of outlines leaves caps above and below the ball.
    expect(volume / ((4 / 3) * Math.PI * BALL.radius ** 3)).toBeGreaterThan(0.8);
    expect(volume / ((4 / 3) * Math.PI * BALL.radius ** 3)).toBeLessThan(1.6);
    for (const [k, view] of views.entries()) {
      expect(overlap(projectHull(hull, view), masks[k]!)).toBeGreaterThan(0.8);
    }
  });
});
