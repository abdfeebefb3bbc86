import { describe, expect, it } from "vitest";
import { type Arena, withArena } from "#goodgate/kernels/arena.js";
import { kernels } from "#goodgate/kernels/kernels.js";
import { gaussianHalfKernel } from "#goodgate/measure/features/blur.js";
import { describe as describeBlob, descriptorTables } from "#goodgate/measure/features/descriptor.js";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { directionWindow, dominantDirections } from "#goodgate/measure/features/orientation.js";
import { essentialOf } from "#goodgate/measure/geometry/essential.js";
import { invertHomography } from "#goodgate/measure/geometry/homography.js";
import { type Normalisation, sumProducts } from "#goodgate/measure/geometry/point-products.js";
import { tangentsOf } from "#goodgate/measure/geometry/refine.js";
import { rotationFromAxisAngle } from "#goodgate/measure/geometry/rotation.js";
import { sampsonSquared } from "#goodgate/measure/geometry/sampson.js";
import { unit } from "#goodgate/measure/geometry/vector.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import { pickedBytes } from "#goodgate/measure/pairing/select-pairs.js";
import { LaplacianSweep, measureLaplacian } from "#goodgate/measure/photo/laplacian.js";
import { shrink, shrunkSize } from "#goodgate/measure/photo/resample.js";
import { scanPixels } from "#goodgate/measure/photo/scan.js";
import { tileGrid } from "#goodgate/measure/photo/tiles.js";
import { factorise } from "#goodgate/measure/poses/cholesky.js";
import { spread } from "#goodgate/measure/subject/spread.js";
import { seededRandom } from "../support/arrays.js";
import * as plain from "./plain.js";
import { edgesOf, squaredSlope } from "./plain-edges.js";

/** Sizes that end inside a vector, and just after one. */
const SIZES = [
  { width: 67, height: 41 },
  { width: 64, height: 33 },
  { width: 129, height: 70 },
  { width: 30, height: 95 },
];

function codes(length: number, seed: number, spread = 255): Uint8Array {
  const next = seededRandom(seed);
  // Many at the ends, where clipping begins.
  return Uint8Array.from({ length }, () => {
    const value = next();
    return value < 0.1 ? 255 - 8 * next() : value < 0.2 ? 8 * next() : spread * next();
  });
}

function greys(length: number, seed: number): Float32Array {
  const next = seededRandom(seed);
  return Float32Array.from({ length }, () => next());
}

function smooth(size: plain.Size, seed: number): Float32Array {
  return Float32Array.from(plain.blur(greys(size.width * size.height, seed), size, gaussianHalfKernel(1.6)));
}

/** Largest difference of two arrays. */
function apart(a: ArrayLike<number>, b: ArrayLike<number>): number {
  expect(a.length).toBe(b.length);
  return Array.from(a).reduce((most, value, i) => Math.max(most, Math.abs(value - b[i]!)), 0);
}

describe.each(SIZES)("kernels equal plain TypeScript on $width x $height random pixels", (size) => {
  const { width, height } = size;
  const pixels = width * height;
  const rgb = codes(3 * pixels, 1);

  it("luma, rounded and exact, to the bit", () => {
    withArena((arena) => {
      const from = arena.copy(rgb);
      const rounded = arena.take(pixels);
      kernels().lumaRow(from, rounded, pixels);
      expect(arena.u8(rounded, pixels)).toEqual(plain.luma(rgb));
      const exact = arena.take(4 * pixels);
      const both = arena.take(pixels);
      kernels().exactLumaRow(from, both, exact, pixels);
      expect(arena.f32(exact, pixels)).toEqual(plain.exactLuma(rgb));
      expect(arena.u8(both, pixels)).toEqual(plain.luma(rgb));
    });
  });

  it("clipped and blocked pixels of every tile", () => {
    const grid = tileGrid(width, height);
    const scan = withArena((arena) =>
      scanPixels({ width, height, data: rgb }, grid, { width, height, at: arena.take(3 * pixels) }, arena),
    );
    for (let row = 0, tile = 0; row < grid.rows; row++) {
      for (let column = 0; column < grid.columns; column++, tile++) {
        const expected = [0, 0, 0, 0];
        for (let y = grid.ys[row]!; y < grid.ys[row + 1]!; y++) {
          const at = (x: number) => y * width + x;
          const found = plain.counts(rgb, at(grid.xs[column]!), at(grid.xs[column + 1]!), 250, 188, 5);
          found.forEach((n, k) => {
            expected[k]! += n;
          });
        }
        const { clippedAny, clippedTwo, clippedAll, blocked } = scan;
        expect([clippedAny, clippedTwo, clippedAll, blocked].map((counts) => counts[tile])).toEqual(expected);
      }
    }
  });

  it("the Laplacian and the noise operator of every tile, to the bit", () => {
    const data = codes(pixels, 2);
    const grid = tileGrid(width, height);
    const { variance, tileVariance, tileNoise } = measureLaplacian({ width, height, data }, grid);
    const [sum, squares] = plain.laplacianSums(data, size, [0, width], [0, height]);
    expect(variance).toBe(squares / pixels - (sum / pixels) ** 2);
    const inner = (from: number, to: number, side: number) => Math.min(to, side - 1) - Math.max(from, 1);
    for (let row = 0, tile = 0; row < grid.rows; row++) {
      for (let column = 0; column < grid.columns; column++, tile++) {
        const x = [grid.xs[column]!, grid.xs[column + 1]!] as const;
        const y = [grid.ys[row]!, grid.ys[row + 1]!] as const;
        const [s, ss, noise] = plain.laplacianSums(data, size, x, y);
        const n = (x[1] - x[0]) * (y[1] - y[0]);
        expect(tileVariance[tile]).toBe(Math.max(0, ss / n - (s / n) ** 2));
        const count = inner(...x, width) * inner(...y, height);
        expect(tileNoise[tile]).toBe((Math.sqrt(Math.PI / 2) * noise) / (6 * count));
      }
    }
  });

  it.each([20, 27, 29])("area averages at a long edge of %i px, to the bit", (longEdge) => {
    const [outWidth, outHeight] = shrunkSize(width, height, longEdge);
    const out = { width: outWidth, height: outHeight };
    expect(shrink({ width, height, data: rgb }, 3, longEdge).data).toEqual(plain.shrink(rgb, size, 3, out));
    const grey = rgb.slice(0, pixels);
    expect(shrink({ width, height, data: grey }, 1, longEdge).data).toEqual(plain.shrink(grey, size, 1, out));
  });

  it.each([0.4, 1.2, 3])("a blur of sigma %f, within 1e-6", (sigma) => {
    const source = greys(pixels, 3);
    const half = gaussianHalfKernel(sigma);
    const expected = plain.blur(source, size, half);
    withArena((arena) => {
      const from = arena.copy(source);
      const weights = arena.copy(half);
      const line = arena.take(4 * (width + 2 * half.length));
      const out = arena.take(4 * pixels);
      for (let y = 0; y < height; y++) {
        kernels().blurRow(from, width, height, y, weights, half.length - 1, line, out + 4 * y * width);
      }
      expect(apart(arena.f32(out, pixels), expected)).toBeLessThan(1e-6);
    });
  });

  it("grey and every other value, to the bit", () => {
    const codesIn = codes(pixels, 12);
    const a = greys(pixels, 13);
    withArena((arena) => {
      const out = arena.take(4 * pixels);
      kernels().greyRow(arena.copy(codesIn), pixels, out);
      expect(arena.f32(out, pixels)).toEqual(Float32Array.from(codesIn, (code) => code / 255));
      const from = arena.copy(a);
      kernels().halveRow(from, width >> 1, out);
      expect(arena.f32(out, width >> 1)).toEqual(
        Float32Array.from({ length: width >> 1 }, (_, x) => a[2 * x]!),
      );
    });
  });

  it("extrema of differences, in scan order", () => {
    const levels = [4, 5, 6, 16].map((seed) => smooth(size, seed));
    // One flat patch: equals are no lower.
    levels.forEach((level, k) => {
      level.fill(0.3 * k, 12 * width + 8, 12 * width + 16);
    });
    const differences = [0, 1, 2].map((k) => levels[k + 1]!.map((value, i) => value - levels[k]![i]!));
    withArena((arena) => {
      const [a, b, c, d] = levels.map((level) => arena.copy(level));
      const found = arena.take(4 * pixels);
      let count = 0;
      for (let y = 5; y < height - 5; y++) {
        const to = found + 4 * count;
        count += kernels().findExtrema(a!, b!, c!, d!, width, y, 5, 0.02, to, pixels - count);
      }
      const [low, mid, high] = differences;
      const expected = plain.extrema([low!, mid!, high!], size, 5, 0.02);
      expect([...arena.i32(found, count)]).toEqual(expected);
      expect(count).toBeGreaterThan(5);
    });
  });

  it("edges by direction, strength and width, but for a few that stand at a border in single precision", () => {
    const crisp = smooth(size, 21).map((grey) => 400 * grey);
    const soft = Float32Array.from(plain.blur(crisp, size, gaussianHalfKernel(0.9)));
    const options = { apart: 3, own: 1.9, diagonal: 0.6, unit: 1.5 };
    withArena((arena) => {
      const [from, of] = [arena.copy(crisp), arena.copy(soft)];
      const row = (y: number) => of + 4 * y * width;
      const slopes = [0, 1, 2].map(() => arena.take(4 * width));
      const counts = arena.filled(4 * 8 * 48 * 80);
      const expected = new Map<number, number>();
      let edges = 0;
      for (let y = 2; y < height - 4; y++) {
        for (const k of [0, 1, 2]) kernels().slopeRow(row(y + k - 1), row(y + k), width, slopes[k]!);
        const own = arena.f32(slopes[1]!, width - 1);
        expect(
          apart(
            own,
            Array.from(own, (_, x) => squaredSlope(soft, size, x, y)),
          ),
        ).toBeLessThan(0.01);
        const [above, here, below] = slopes;
        const at = from + 4 * y * width;
        const { apart: between, own: blur, diagonal, unit } = options;
        kernels().edgeRow(
          ...([above!, here!, below!, row(y), row(y + 1), at, 4 * width] as const),
          ...([4, width - 5, between, blur, diagonal, unit, counts] as const),
        );
        for (const [direction, strength, step] of edgesOf(soft, crisp, size, y, [4, width - 5], options)) {
          const cell = (direction * 48 + strength) * 80 + step;
          expected.set(cell, (expected.get(cell) ?? 0) + 1);
          edges++;
        }
      }
      const found = arena.u32(counts, 8 * 48 * 80);
      const off = found.reduce((sum, count, cell) => sum + Math.abs(count - (expected.get(cell) ?? 0)), 0);
      expect(edges).toBeGreaterThan(20);
      expect(off).toBeLessThan(0.05 * edges);
    });
  });

  it("band energies of cells, from linear light to half size", () => {
    const columns = width >> 2;
    withArena((arena) => {
      const cells = arena.filled(24 * columns, 255);
      const shares = arena.copy(Float32Array.from({ length: 256 }, (_, code) => code / 16));
      const from = arena.copy(rgb);
      // Four times the same row.
      kernels().fillCellRow(from, 0, columns, shares, 250, 5, cells);
      const [sharp, soft] = [greys(width, 7), greys(width, 8)];
      kernels().fineRow(arena.copy(sharp), arena.copy(soft), columns, cells);
      const half = arena.take(2 * width);
      kernels().halfRow(arena.copy(sharp), arena.copy(soft), width >> 1, half);
      const halves = arena.f32(half, width >> 1);
      const mean = (x: number) => (sharp[2 * x]! + sharp[2 * x + 1]! + soft[2 * x]! + soft[2 * x + 1]!) / 4;
      expect(
        apart(
          halves,
          Array.from(halves, (_, x) => mean(x)),
        ),
      ).toBeLessThan(1e-6);
      kernels().midRow(half, arena.copy(soft), columns, cells);
      const found = arena.f32(cells, 6 * columns);
      for (let column = 0; column < columns; column++) {
        const four = [0, 1, 2, 3].map((dx) => 4 * column + dx);
        const mean16 = (channel: number) => four.reduce((sum, x) => sum + rgb[3 * x + channel]!, 0) / 4;
        const spoilt = four.filter((x) => {
          const most = Math.max(...rgb.subarray(3 * x, 3 * x + 3));
          return most >= 250 || most <= 5;
        });
        const fine = four.reduce((sum, x) => sum + (sharp[x]! - soft[x]!) ** 2, 0) / 16;
        const mid = [0, 1].reduce(
          (sum, dx) => sum + (halves[2 * column + dx]! - soft[2 * column + dx]!) ** 2,
          0,
        );
        const expected = [mean16(0), mean16(1), mean16(2), spoilt.length / 4, fine, mid / 4];
        const own = found.subarray(6 * column, 6 * column + 6);
        expect(apart(own.subarray(0, 3), expected.slice(0, 3))).toBeLessThan(1e-4);
        expect(apart(own.subarray(3), expected.slice(3))).toBeLessThan(1e-6);
      }
    });
  });

  it("sums and the brightest of a block of cells, to the bit", () => {
    const numbers = greys(6 * pixels, 15);
    const block = { x0: 2, x1: width - 3, y0: 1, y1: 9 };
    const [found, brightest] = withArena((arena) => {
      const out = arena.take(48);
      const first = arena.copy(numbers) + 24 * (block.y0 * width + block.x0);
      const [columns, rows] = [block.x1 - block.x0, block.y1 - block.y0];
      kernels().sumCells(first, columns, rows, 24 * width, out);
      const most = kernels().brightestCell(first, columns, rows, 24 * width, 0.2, 0.7, 0.1);
      return [arena.f64(out, 6).slice(), most];
    });
    const sums = new Float64Array(6);
    let most = 0;
    for (let y = block.y0; y < block.y1; y++) {
      for (let x = block.x0; x < block.x1; x++) {
        const cell = numbers.subarray(6 * (y * width + x), 6 * (y * width + x + 1));
        cell.forEach((value, field) => {
          sums[field]! += value;
        });
        most = Math.max(most, 0.2 * cell[0]! + 0.7 * cell[1]! + 0.1 * cell[2]!);
      }
    }
    expect(found).toEqual(sums);
    expect(brightest).toBe(most);
  });

  it("directions within 1e-3 radians and 99.5 % of the descriptors' bits", () => {
    const data = smooth(size, 9);
    const next = seededRandom(10);
    let bits = 0;
    let wrong = 0;
    withArena((arena) => {
      const image = { at: arena.copy(data), width, height };
      const window = directionWindow(arena);
      const tables = descriptorTables(arena);
      const anglesAt = arena.take(8);
      const wordsAt = arena.take(32);
      for (let k = 0; k < 40; k++) {
        // Some reach beyond the border.
        const [x, y, sigma] = [width * next(), height * next(), 1 + 2 * next()];
        const turns = dominantDirections(image, x, y, sigma, window, anglesAt);
        const found = [...arena.f32(anglesAt, turns)];
        const expected = plain.directions(data, size, x, y, sigma);
        const [sure] = expected;
        if (sure !== undefined) {
          const nearest = Math.min(...found.map((angle) => Math.abs(angle - sure)));
          expect(Math.min(nearest, 2 * Math.PI - nearest)).toBeLessThan(1e-3);
        }
        const angle = sure ?? 0;
        describeBlob(image, x, y, sigma, angle, k % 2 === 0, tables, wordsAt);
        const words = plain.descriptor(data, size, x, y, sigma, angle, k % 2 === 0);
        expect(arena.u32(wordsAt, 8)[7]! >>> 31).toBe(+(k % 2 === 0));
        arena.u32(wordsAt, 8).forEach((word, w) => {
          for (let v = word ^ words[w]!; v !== 0; v &= v - 1) wrong++;
          bits += 32;
        });
      }
    });
    expect(wrong / bits).toBeLessThan(0.005);
  });
});

describe("kernels in hand", () => {
  it.each([
    [1, 1],
    [15, 40],
    [33, 16],
    [70, 0],
  ])("%i x %i descriptors: nearest and second nearest on both sides", (countA, countB) => {
    const next = seededRandom(countA);
    const words = (count: number) =>
      Uint32Array.from({ length: 8 * count }, (_, i) => (2 ** 31 * next()) >>> (i % 8 === 7 ? 1 : 0));
    const [a, b] = [words(countA), words(countB)];
    const features = [a, b].map((descriptors) => {
      const made = createFeatures(descriptors.length / 8, 100, 100);
      made.descriptors.set(descriptors);
      return made;
    });
    const rows = plain.nearest(a, b);
    const columns = plain.nearest(b, a);
    const expected = rows.flatMap(({ best, near, next: second }, i) => {
      const back = best < 0 ? undefined : columns[best]!;
      if (back?.best !== i || near > 200 || near > 0.99 * Math.min(second, back.next)) return [];
      return [i, best];
    });
    const found = matchDescriptors(features[0]!, features[1]!, { ratio: 0.99, maxDistance: 200 });
    expect([...found]).toEqual(expected);
  });

  it.each([
    [1, 5, 255],
    [20, 50, 255],
    [37, 100, 120],
  ])(
    "%i x %i descriptors in spans of columns, far from %i on: nearest and second nearest",
    (countA, countB, far) => {
      const next = seededRandom(countB);
      const words = (count: number) =>
        Uint32Array.from({ length: 8 * count }, (_, i) => (2 ** 31 * next()) >>> (i % 8 === 7 ? 1 : 0));
      const [a, b] = [words(countA), words(countB)];
      // Some span nothing, some lie in one block of 16, some across several.
      const ends = Array.from({ length: countA }, () =>
        Array.from({ length: 4 }, () => Math.floor((countB + 1) * next())).sort((p, q) => p - q),
      );
      const compared = (i: number, j: number) => {
        const [from, behind, secondFrom, secondBehind] = ends[i]!;
        return (j >= from! && j < behind!) || (j >= secondFrom! && j < secondBehind!);
      };
      withArena((arena) => {
        const blocks = arena.filled(32 * 16 * Math.ceil(countB / 16));
        kernels().interleave(arena.copy(b), countB, blocks);
        const [rowBest, columnBest] = [countA, countB].map((count) => arena.filled(4 * count, 255));
        const [rowNear, rowNext, columnNear, columnNext] = [countA, countA, countB, countB].map((count) =>
          arena.filled(count, far),
        );
        kernels().nearest(
          arena.copy(a),
          countA,
          blocks,
          arena.copy(Int32Array.from(ends.flat())),
          far,
          rowBest!,
          rowNear!,
          rowNext!,
          columnBest!,
          columnNear!,
          columnNext!,
        );
        const found = (count: number, best: number, near: number, second: number) =>
          Array.from({ length: count }, (_, k) => ({
            best: arena.i32(best, count)[k],
            near: arena.bytes[near + k],
            next: arena.bytes[second + k],
          }));
        expect(found(countA, rowBest!, rowNear!, rowNext!)).toEqual(plain.nearest(a, b, compared, far));
        expect(found(countB, columnBest!, columnNear!, columnNext!)).toEqual(
          plain.nearest(b, a, (j, i) => compared(i, j), far),
        );
      });
    },
  );

  it.each([
    { bits: 1, most: 48, first: 0, rows: 9 },
    { bits: 6, most: 5, first: 0, rows: 9 },
    { bits: 18, most: 48, first: 3, rows: 4 },
    { bits: 20, most: 48, first: 8, rows: 1 },
  ])(
    "keypoints that agree in $bits bits vote for photos from $first on, $rows of 9",
    ({ bits, most, first, rows }) => {
      const next = seededRandom(bits);
      const vocabulary = Array.from({ length: 30 }, () =>
        Uint32Array.from({ length: 8 }, () => 2 ** 32 * next()),
      );
      // Some words twice in a photo, and photos of none.
      const photos = [40, 0, 1, 17, 33, 5, 0, 60, 12].map((count) =>
        Uint32Array.from(
          Array.from({ length: count }, () => [...vocabulary[Math.floor(30 * next())]!]).flat(),
        ),
      );
      const order = Array.from({ length: 256 }, (_, bit) => ({ bit, at: next() })).sort(
        (p, q) => p.at - q.at,
      );
      const picked = order.slice(0, bits).map(({ bit }) => bit);
      const found = withArena((arena) => {
        const keys = 2 ** bits;
        const votes = arena.filled(2 * 9 * rows);
        // One vote is full but for one: no more is counted.
        arena.u16(votes, 9 * rows)[7] = 65534;
        const places = arena.filled(4 * keys);
        const sorted = arena.take(2 * photos.reduce((sum, { length }) => sum + length / 8, 0));
        const pickedAt = arena.copy(pickedBytes(picked));
        const copies = photos.map((words) => arena.copy(words));
        const each = (take: (at: number, count: number, photo: number) => void) =>
          photos.forEach(({ length }, photo) => take(copies[photo]!, length / 8, photo));
        each((at, count) => kernels().countKeys(at, count, pickedAt, places));
        kernels().startKeys(places, keys);
        each((at, count, photo) => kernels().placePhoto(at, count, pickedAt, photo, places, sorted));
        kernels().countVotes(sorted, places, keys, most, first, rows, 9, votes);
        return Array.from(arena.u16(votes, 9 * rows));
      });
      const expected = plain
        .votes(photos, picked, most)
        .slice(first, first + rows)
        .flat();
      expected[7] = Math.min(65535, 65534 + expected[7]!);
      expect(found).toEqual(expected);
    },
  );

  it("shrinks sizes without a common divisor exactly", () => {
    // 4001 x 3 weights sum to more than single precision holds: the other loop.
    const size = { width: 4001, height: 3 };
    const data = codes(3 * 4001 * 3, 11);
    const [width, height] = shrunkSize(4001, 3, 1920);
    expect(shrink({ ...size, data }, 3, 1920).data).toEqual(plain.shrink(data, size, 3, { width, height }));
  });

  it("gives back the arena it took, whatever happens", () => {
    const first = withArena((arena) => arena.take(100));
    expect(() => withArena((arena) => arena.take(2 ** 40))).toThrow(RangeError);
    expect(() =>
      withArena((arena: Arena) => {
        new LaplacianSweep(2, 2, tileGrid(2, 2), arena);
      }),
    ).toThrow(RangeError);
    expect(withArena((arena) => arena.take(100))).toBe(first);
  });
});

describe.each([...SIZES, { width: 3, height: 2 }, { width: 1, height: 9 }])(
  "spreading over $width x $height cells",
  ({ width, height }) => {
    it("equals double precision within 1e-5, and stops where it is near enough", () => {
      const count = width * height;
      const [weight, observation, right, below] = [1, 2, 3, 4].map((seed) => greys(count, seed)) as [
        Float32Array,
        Float32Array,
        Float32Array,
        Float32Array,
      ];
      for (let i = 0; i < count; i++) {
        weight[i]! += 0.01;
        if (i % width === width - 1) right[i] = 0;
        if (i >= count - width) below[i] = 0;
      }
      const system = plain.weighCells({ width, height }, { weight, observation, right, below });
      const expected = plain.spreadCells({ width, height }, system, observation, 24, 1e-7 * count);
      expect(
        apart(spread({ columns: width, rows: height, right, below }, weight, observation), expected),
      ).toBeLessThan(1e-5);
    });
  },
);

describe.each([...SIZES, { width: 1, height: 9 }])(
  "a surface on $width x $height cells",
  ({ width, height }) => {
    const cells = width * height;
    const long = Math.max(width, height);

    it.each([0, 7, 60, 400])("is followed by %i matches as in plain arrays, to the bit", (count) => {
      const next = seededRandom(count + width);
      // Most go along; some go anywhere, and some of all are bright.
      const matches = Array.from({ length: count }, (): plain.Match => {
        const [x, y] = [(next() * width) / long, (next() * height) / long];
        const strays = next() < 0.3 ? 0.1 : 0.004;
        const [u, v] = [0.05 + 0.1 * x, 0.2 * y * x - 0.03];
        return {
          x,
          y,
          u: u + strays * (next() - 0.5),
          v: v + strays * (next() - 0.5),
          luminance: next() ** 3,
        };
      });
      const blocks: number[] = [];
      for (let top = 0; top < height; top += 3) {
        for (let left = 0; left < width; left += 3) if (next() < 0.7) blocks.push(top * width + left);
      }
      const expected = plain.followBlocks(matches, blocks, 3, { width, height }, 75);
      withArena((arena) => {
        const from = arena.copy(
          Float64Array.from(matches.flatMap(({ x, y, u, v, luminance }) => [x, y, u, v, luminance])),
        );
        const [xs, ys] = [arena.filled(4 * cells, 255), arena.filled(4 * cells, 255)];
        const blocksAt = arena.copy(Int32Array.from(blocks));
        const end = from + 40 * count;
        kernels().followBlocks(from, end, blocksAt, blocks.length, 3, width, height, 75, xs, ys);
        expect(arena.f32(xs, cells)).toEqual(expected.xs);
        expect(arena.f32(ys, cells)).toEqual(expected.ys);
      });
      if (count === 400)
        expect(expected.xs.filter((x) => !Number.isNaN(x)).length).toBeGreaterThan(0.25 * cells);
    });

    it("has its lowest and highest light around any place, to the bit", () => {
      const next = seededRandom(width);
      const [light, share] = [0, 1].map(() => Float64Array.from({ length: cells }, next));
      // Some on the edge, some beyond, some unknown.
      const place = (side: number) => {
        const at = Math.fround(1.2 * side * next() - 0.1 * side);
        return next() < 0.1 ? 0 : next() < 0.1 ? side - 1 : next() < 0.1 ? Number.NaN : at;
      };
      const xs = Float32Array.from({ length: 500 }, () => place(width));
      const ys = Float32Array.from({ length: 500 }, () => place(height));
      const chosen = Int32Array.from({ length: 500 }, (_, k) => k).filter(() => next() < 0.8);
      const found = withArena((arena) => {
        const ranges = arena.take(16 * chosen.length);
        kernels().lightAround(
          arena.copy(chosen),
          chosen.length,
          arena.copy(xs),
          arena.copy(ys),
          arena.copy(light!),
          arena.copy(share!),
          width,
          height,
          0.4,
          0.75,
          ranges,
        );
        return Array.from(arena.f64(ranges, 2 * chosen.length));
      });
      const places = Array.from(chosen, (k) => [xs[k]!, ys[k]!] as const);
      expect(found).toEqual(plain.lightAround(places, light!, share!, { width, height }, 0.4, 0.75));
      expect(found.filter((value) => !Number.isNaN(value)).length).toBeGreaterThan(50);
    });
  },
);

describe("cubes of a place", () => {
  it.each([
    { columns: 80, rows: 60 },
    { columns: 7, rows: 33 },
  ])(
    "get the votes of a view of $columns x $rows cells as in plain arrays, to the bit",
    ({ columns, rows }) => {
      const next = seededRandom(columns);
      // Turned at random: some cubes lie outside the frame, some behind the camera.
      const view = [
        ...Array.from({ length: 9 }, () => next() - 0.5),
        ...[
          0.1,
          -0.2,
          0.05,
          10 * columns,
          20 * columns - 3,
          20 * rows + 5,
          columns,
          40 * columns,
          rows,
          40 * rows,
        ],
      ];
      const probabilities = greys(columns * rows, rows);
      const middles = Array.from({ length: 999 }, () => [0, 1, 2].map(() => 3 * (next() - 0.5)));
      const expected = plain.votesOf(view, probabilities, middles, -1.9, 0.4);
      const [odds, seen] = withArena((arena) => {
        const [oddsAt, seenAt] = [arena.filled(8 * 999), arena.filled(999)];
        const viewAt = arena.doubles(view);
        const middlesAt = arena.doubles(...middles);
        for (let time = 0; time < 2; time++) {
          kernels().addVotes(viewAt, arena.copy(probabilities), middlesAt, 999, -1.9, 0.4, oddsAt, seenAt);
        }
        return [Array.from(arena.f64(oddsAt, 999)), Array.from(arena.u8(seenAt, 999))];
      });
      expect(odds).toEqual(expected.map((vote = 0) => vote + vote));
      expect(seen).toEqual(expected.map((vote) => (vote === undefined ? 0 : 2)));
      expect(expected.filter((vote) => vote !== undefined).length).toBeGreaterThan(100);
    },
  );
});

describe("normal equations", () => {
  const next = seededRandom(7);
  const random = (length: number) => Array.from({ length }, () => next() - 0.5);

  it.each([1, 2])("cameras and %i unknowns of the lens lose their points as in plain arrays", (shared) => {
    const cameras = 5;
    const size = 6 * cameras + shared;
    // Which cameras see each point.
    const seen = [
      [0, 1],
      [1, 2, 4],
      [0, 3, 4],
      [0, 1, 2, 3, 4],
    ];
    const points = seen.map((own): plain.MixedPoint => {
      const rows = [
        ...own.flatMap((camera) => [0, 1, 2, 3, 4, 5].map((k) => 6 * camera + k)),
        ...Array.from({ length: shared }, (_, k) => 6 * cameras + k),
      ];
      const [xx, xy, xz, yy, yz, zz] = random(6) as [number, number, number, number, number, number];
      return {
        rows,
        w: rows.map(() => random(3)),
        inverse: [
          [xx, xy, xz],
          [xy, yy, yz],
          [xz, yz, zz],
        ],
        bp: random(3),
      };
    });
    const h = Float64Array.from(random(size * size));
    const b = Float64Array.from(random(size));
    withArena((arena) => {
      const lengths = points.map(({ rows }) => rows.length);
      const plane = lengths.reduce((sum, length) => sum + length, 0);
      const start = Int32Array.from([
        0,
        ...lengths.map((_, n) => lengths.slice(0, n + 1).reduce((p, q) => p + q)),
      ]);
      const [atH, atB] = [arena.doubles(h), arena.doubles(b)];
      kernels().eliminatePoints(
        points.length,
        arena.copy(start),
        arena.copy(Int32Array.from(points.flatMap(({ rows }) => rows))),
        arena.doubles([0, 1, 2].flatMap((c) => points.flatMap(({ w }) => w.map((slopes) => slopes[c]!)))),
        plane,
        arena.doubles(
          points.flatMap(({ inverse: [p, q, r] }) => [p![0]!, p![1]!, p![2]!, q![1]!, q![2]!, r![2]!]),
        ),
        arena.doubles(points.flatMap(({ bp }) => bp)),
        atH,
        atB,
        size,
        shared,
      );
      plain.eliminatePoints(points, h, b);
      const lower = (all: Float64Array) => all.filter((_, i) => i % size <= Math.floor(i / size));
      expect(apart(lower(arena.f64(atH, size * size)), lower(h))).toBeLessThan(1e-14);
      expect(apart(arena.f64(atB, size), b)).toBeLessThan(1e-14);
    });
  });

  it.each([1, 2, 5, 23, 64])("the Cholesky factor of %i rows, some of which begin with zeros", (size) => {
    const l = Float64Array.from({ length: size * size }, (_, i) => {
      const [row, column] = [Math.floor(i / size), i % size];
      return column > row || column < row - 9 ? 0 : column === row ? 1 + next() : next() - 0.5;
    });
    const a = Float64Array.from({ length: size * size }, (_, i) => {
      const [row, column] = [Math.floor(i / size), i % size];
      let sum = 0;
      for (let k = 0; k < size; k++) sum += l[row * size + k]! * l[column * size + k]!;
      return sum;
    });
    const found = withArena((arena) => {
      const at = arena.doubles(a);
      return factorise(at, size) ? arena.f64(at, a.length).slice() : undefined;
    })!;
    const lower = found.map((value, i) => (i % size <= Math.floor(i / size) ? value : 0));
    expect(apart(lower, plain.cholesky(a, size)!)).toBeLessThan(1e-12);
  });
});

describe("the kernels of a motion equal plain TypeScript", () => {
  const next = seededRandom(12);
  const random = (count: number) => Array.from({ length: count }, () => next() - 0.5);
  const rotation = rotationFromAxisAngle(random(3));
  const translation = unit(random(3));
  const tangents = tangentsOf(translation);
  const motion = {
    rotation: [0, 3, 6].map((at) => rotation.slice(at, at + 3)),
    translation,
    tangents,
  };

  it.each([1, 7, 40])("on %i random matches", (count) => {
    const matches = Array.from({ length: count }, () => random(4));
    const distances = plain.sampsonDistances(matches, motion);
    const truncated = (limit: number) =>
      distances.reduce((sum, d) => sum + Math.min(1, (d / limit) ** 2), 0) / count;
    withArena((arena) => {
      const at = arena.doubles(...matches);
      const e = arena.doubles(essentialOf({ rotation, translation }));
      const placed = arena.doubles(rotation, translation, ...tangents);
      const out = arena.take(8 * count);
      kernels().sampsonDistances(at, count, e, out);
      expect(apart(arena.f64(out, count).map(Math.sqrt), distances)).toBeLessThan(1e-14);

      const cost = truncated(0.2);
      expect(kernels().truncatedCost(at, count, e, 0.2 ** 2, Number.POSITIVE_INFINITY)).toBeCloseTo(cost, 13);
      expect(kernels().truncatedCost(at, count, e, 0.2 ** 2, 0.999 * cost)).toBe(Number.POSITIVE_INFINITY);

      const equations = plain.motionEquations(matches, motion, 0.2);
      const rows = arena.filled(8 * 30);
      const sum = kernels().addMotionEquations(at, count, placed, 0.2 ** 2, arena.take(8 * 6), rows);
      expect(sum).toBeCloseTo(equations.cost, 12);
      expect(apart(arena.f64(rows, 30), equations.rows.flat())).toBeLessThan(1e-12);

      const sums = arena.filled(8 * 6);
      kernels().addNormals(at, count, placed, 0.2 ** 2, sums);
      expect(apart(arena.f64(sums, 6), plain.normalSums(matches, motion, 0.2))).toBeLessThan(1e-12 * count);
    });
  });

  it("says that no match costs 1", () => {
    withArena((arena) => {
      expect(kernels().truncatedCost(arena.take(0), 0, arena.filled(72), 1, 1)).toBe(1);
    });
  });
});

it.each([2, 9, 60])("products of %i matched points equal those of plain TypeScript", (count) => {
  const next = seededRandom(15);
  const points = () => Array.from({ length: count }, () => [400 * next(), 300 * next()] as const);
  const [from, to] = [points(), points()];
  const weights = Array.from({ length: count }, (_, i) => (i % 5 === 1 ? 0 : next()));
  const found = sumProducts(from.flat(), to.flat(), weights);
  const inOrder = ({ centreX, centreY, scale }: Normalisation) => [centreX, centreY, scale];
  expect(apart(inOrder(found.from), plain.normalise(from))).toBeLessThan(1e-12);
  expect(apart(inOrder(found.to), plain.normalise(to))).toBeLessThan(1e-12);
  expect(apart(found.sums, plain.productSums(from, to, weights).flat())).toBeLessThan(1e-13 * count);
});

describe("residuals of a homography and of a fundamental matrix", () => {
  const next = seededRandom(16);
  const random = (count: number) => Array.from({ length: count }, () => 2 * next() - 1);
  // A turn of the plane by some degrees, and one that sends part of the picture behind the horizon.
  const homographies = [
    [0.9, -0.1, 0.2, 0.1, 1.1, -0.1, 0.2, -0.3, 1],
    [0.9, -0.1, 0.2, 0.1, 1.1, -0.1, 1.5, -0.3, 1],
  ];

  it.each([1, 2, 7, 40])("equal those of plain TypeScript on %i random matches", (count) => {
    const matches = Array.from({ length: count }, () => random(4));
    const even = 2 * Math.ceil(count / 2);
    const rows = [0, 1, 2, 3].flatMap((k) => Array.from({ length: even }, (_, i) => matches[i]?.[k] ?? 0));
    const f = random(9);
    const sampson = matches.map(([xa, ya, xb, yb]) => sampsonSquared(f, xa!, ya!, xb!, yb!));
    const cases = [
      ...homographies.map((h) => {
        const inverse = invertHomography(h)!;
        const expected = matches.map((match) => plain.transferError(h, inverse, match));
        return { kernel: kernels().transferErrors, matrix: h, expected };
      }),
      { kernel: kernels().sampsonErrors, matrix: f, expected: sampson },
    ];
    for (const { kernel, matrix, expected } of cases) {
      const limit = 0.5;
      const cost = expected.reduce((sum, r) => sum + Math.min(r, limit), 0);
      withArena((arena) => {
        const [at, m, out] = [arena.doubles(rows), arena.doubles(matrix), arena.take(8 * count)];
        expect(kernel(at, count, m, limit, Number.POSITIVE_INFINITY, out)).toBeCloseTo(cost, 12);
        arena.f64(out, count).forEach((residual, i) => {
          if (Number.isFinite(expected[i])) expect(residual).toBeCloseTo(expected[i]!, 10);
          else expect(residual).toBe(Number.POSITIVE_INFINITY);
        });
        expect(kernel(at, count, m, limit, cost, out)).toBe(Number.POSITIVE_INFINITY);
      });
    }
  });

  it("by hand: a doubling misses by 1 forth and by a half back, and a singular matrix fits nothing", () => {
    withArena((arena) => {
      const [at, out] = [arena.doubles([3, 0, 4, 0, 7, 0, 8, 0]), arena.take(8)];
      const costOf = (h: readonly number[]) =>
        kernels().transferErrors(at, 1, arena.doubles(h), 9, Number.POSITIVE_INFINITY, out);
      expect(costOf([2, 0, 0, 0, 2, 0, 0, 0, 1])).toBeCloseTo(0.5 * (1 + 0.25), 12);
      expect(costOf([1, 0, 0, 2, 0, 0, 0, 0, 1])).toBe(Number.POSITIVE_INFINITY);
    });
  });
});
