import { type NoiseField, pyramidNoise, valueNoise } from "./noise.js";
import type { Background, WindowOptions } from "./options.js";
import { type Painter, paintFlat } from "./paint.js";
import { boxFaces, faceGrid, type Grid, gridFrom, latheGrid } from "./patch.js";
import { createRandom, mixSeed, type Random } from "./random.js";
import type { Part } from "./scene.js";
import type { Texture } from "./texture.js";
import { length, radians, smoothStep, type Vector3 } from "./vector.js";

const tableHalfM = 0.6;
const tableHeightM = 0.74;
const roomHalfXM = 2.2;
const roomHalfYM = 2.0;
const roomHeightM = 2.7;
/** Distance from the prop's middle to the flat wall behind it. */
const flatWallM = 0.42;

const setPart = (grid: Grid, paint: () => Texture, casts = false): Part => ({
  grid,
  paint,
  subject: false,
  casts,
  detail: 0.2,
  gloss: 0,
});

/** Plaid woven by hand and block-printed with leaves: no two places alike. Sides in metres. */
function clothPainter(seed: number, size: number, sideM: number): Painter {
  const random = createRandom(seed, 21);
  const field = pyramidNoise(size, size, mixSeed(seed, 22), (step) =>
    step < 3 ? 0.4 : step < 8 ? 0.3 : 0.18,
  );
  const stripes = (): Float32Array => {
    const tone = new Float32Array(size);
    let at = 0;
    while (at < size) {
      const width = Math.floor(random.between(0.008, 0.05) * (size / sideM));
      tone.fill(random.between(-1, 1), at, at + width);
      at += width;
    }
    return tone;
  };
  const warp = stripes();
  const weft = stripes();
  const cells = 16;
  const stamps = Array.from({ length: cells * cells }, () => ({
    u: random.uniform(),
    v: random.uniform(),
    size: random.between(0.012, 0.03),
    arms: 3 + random.below(6),
    turn: random.between(0, 6.28),
    depth: random.between(0.2, 0.8),
    ink: random.below(3),
  }));
  const inks = [
    [0.05, 0.1, 0.16],
    [0.34, 0.2, 0.05],
    [0.5, 0.46, 0.36],
  ];
  const cellM = sideM / cells;
  return (point, out) => {
    const noise = field.data[point.j * size + point.i];
    const a = warp[point.i];
    const b = weft[point.j];
    let red = 0.26 + 0.08 * a + 0.05 * b;
    let green = 0.1 + 0.02 * a + 0.045 * b;
    let blue = 0.085 - 0.015 * a + 0.03 * b;
    const cu = point.u * cells;
    const cv = point.v * cells;
    const column = Math.floor(cu);
    const row = Math.floor(cv);
    for (let j = Math.max(0, row - 1); j <= Math.min(cells - 1, row + 1); j++) {
      for (let i = Math.max(0, column - 1); i <= Math.min(cells - 1, column + 1); i++) {
        const stamp = stamps[j * cells + i];
        const x = (cu - i - stamp.u) * cellM;
        const y = (cv - j - stamp.v) * cellM;
        const squared = x * x + y * y;
        if (squared > stamp.size * stamp.size) continue;
        const radius = Math.sqrt(squared);
        const angle = Math.atan2(y, x);
        const edge = stamp.size * (1 - stamp.depth * (0.5 + 0.5 * Math.cos(stamp.arms * angle + stamp.turn)));
        if (radius > edge) continue;
        // Ink takes unevenly, and the middle of a stamp is bare.
        const cover = (0.75 + 0.5 * noise) * (radius > 0.25 * edge ? 1 : 0.2);
        const ink = inks[stamp.ink];
        const share = Math.min(1, Math.max(0, cover));
        red += (ink[0] - red) * share;
        green += (ink[1] - green) * share;
        blue += (ink[2] - blue) * share;
      }
    }
    const level = Math.exp(0.42 * noise);
    out[0] = red * level;
    out[1] = green * level;
    out[2] = blue * level;
  };
}

/** The cloth on the table: flat under the prop, faint folds around it, hanging over the edge. */
function clothGrid(seed: number): Grid {
  const hang = 0.18;
  const reach = tableHalfM + hang;
  return gridFrom(181, 181, false, (u, v) => {
    const s = (2 * u - 1) * reach;
    const t = (2 * v - 1) * reach;
    const overX = Math.max(0, Math.abs(s) - tableHalfM);
    const overY = Math.max(0, Math.abs(t) - tableHalfM);
    const over = Math.max(overX, overY);
    const flare = 0.12 * over * (1 + 0.5 * Math.sin(24 * (overX > overY ? t : s)));
    const x = Math.sign(s) * (Math.min(Math.abs(s), tableHalfM) + (overX > 0 ? flare : 0));
    const y = Math.sign(t) * (Math.min(Math.abs(t), tableHalfM) + (overY > 0 ? flare : 0));
    const folds = smoothStep(0.17, 0.4, Math.hypot(s, t));
    const wave = 0.006 * valueNoise(s * 7, t * 7, 0, seed) + 0.003 * valueNoise(s * 17, t * 17, 5, seed + 1);
    return [x, y, folds * wave - over];
  });
}

const plainPainter =
  (red: number, green: number, blue: number): Painter =>
  (_, out) => {
    out[0] = red;
    out[1] = green;
    out[2] = blue;
  };

/** Old plastered brick with pasted playbills. */
function wallPainter(seed: number, width: number, height: number, courses: number): Painter {
  const field = pyramidNoise(width, height, mixSeed(seed, 31), (step) => (step < 6 ? 0.38 : 0.28));
  const random = createRandom(seed, 32);
  const papers = [
    [0.4, 0.36, 0.27],
    [0.34, 0.25, 0.13],
    [0.3, 0.11, 0.08],
    [0.16, 0.2, 0.19],
  ];
  const bills = Array.from({ length: 18 }, () => ({
    u: random.between(0, 0.94),
    v: random.between(0.02, 0.8),
    w: random.between(0.04, 0.12),
    h: random.between(0.06, 0.18),
    paper: papers[random.below(papers.length)],
    lines: 4 + random.below(10),
    salt: random.below(1000),
  }));
  // Which bill lies on top at each texel: 18 tests a texel would take half the time of a wall.
  const top = new Int8Array(width * height).fill(-1);
  bills.forEach((bill, i) => {
    for (let y = Math.ceil(bill.v * height); y < Math.min(height, (bill.v + bill.h) * height); y++) {
      const row = y * width;
      top.fill(
        i,
        row + Math.ceil(bill.u * width),
        row + Math.min(width, Math.floor((bill.u + bill.w) * width)),
      );
    }
  });
  return (point, out) => {
    const noise = field.data[point.j * width + point.i];
    const row = Math.floor(point.v * courses);
    const across = point.u * courses * 0.55 + 0.5 * (row & 1);
    const joint = Math.abs((point.v * courses) % 1) < 0.1 || across % 1 < 0.05;
    const tone = valueNoise(Math.floor(across) * 3.7, row * 5.3, 0.5, seed);
    let red = joint ? 0.33 : 0.28 + 0.09 * tone;
    let green = joint ? 0.31 : 0.17 + 0.05 * tone;
    let blue = joint ? 0.27 : 0.12 + 0.04 * tone;
    const bill = bills[top[point.j * width + point.i]];
    if (bill !== undefined) {
      const u = (point.u - bill.u) / bill.w;
      const line = Math.floor(((point.v - bill.v) / bill.h) * bill.lines * 2);
      const letter = valueNoise(u * (18 + 3 * (line % 7)), line * 9.1, bill.salt, seed + 5);
      const ink = (line & 1) === 1 && u > 0.08 && u < 0.92 && letter > -0.1 ? 0.2 : 1;
      red = bill.paper[0] * ink;
      green = bill.paper[1] * ink;
      blue = bill.paper[2] * ink;
    }
    const level = Math.exp(0.36 * noise);
    out[0] = red * level;
    out[1] = green * level;
    out[2] = blue * level;
  };
}

function floorPainter(seed: number, size: number): Painter {
  const field = pyramidNoise(size, size, mixSeed(seed, 41), (step) => (step < 6 ? 0.4 : 0.3));
  return (point, out) => {
    const plank = Math.floor(point.v * 30);
    const tone = valueNoise(plank * 7.7, Math.floor(point.u * 4 + (plank % 3)) * 3.1, 0, seed);
    const gap = (point.v * 30) % 1 < 0.05 ? 0.4 : 1;
    const grain = field.data[point.j * size + ((point.i >> 3) & (size - 1))];
    const level = gap * Math.exp(0.3 * field.data[point.j * size + point.i] + 0.3 * grain + 0.3 * tone);
    out[0] = 0.2 * level;
    out[1] = 0.13 * level;
    out[2] = 0.08 * level;
  };
}

/** Colours of old props: paint, leather, wood, tin, faded cloth. */
const propColours = [
  [0.3, 0.2, 0.11],
  [0.16, 0.08, 0.05],
  [0.24, 0.05, 0.04],
  [0.09, 0.14, 0.1],
  [0.08, 0.12, 0.2],
  [0.38, 0.32, 0.22],
  [0.2, 0.19, 0.17],
  [0.34, 0.22, 0.06],
] as const;

/** One piece of clutter: a colour, a few bands or a label in another, wear. `field` is noise all pieces share. */
function clutterPainter(field: NoiseField, random: Random): Painter {
  const own = propColours[random.below(propColours.length)];
  const other = propColours[random.below(propColours.length)];
  const bands = Array.from({ length: 1 + random.below(3) }, () => [
    random.uniform(),
    random.between(0.01, 0.05),
  ]);
  const label = random.uniform() < 0.5 ? [random.between(0.1, 0.6), random.between(0.2, 0.6)] : undefined;
  const startX = random.below(field.width);
  const startY = random.below(field.height);
  return (point, out) => {
    const x = (startX + point.i) & (field.width - 1);
    const y = (startY + point.j) & (field.height - 1);
    const noise = field.data[y * field.width + x];
    const v = point.v + 0.01 * noise;
    let colour: readonly number[] = bands.some(([at, width]) => Math.abs(v - at) < width) ? other : own;
    if (label !== undefined) {
      const u = (point.u - label[0]) / 0.25;
      const w = (point.v - label[1]) / 0.22;
      if (u > 0 && u < 1 && w > 0 && w < 1) {
        const print = (Math.floor(w * 9) & 1) === 1 && u > 0.1 && u < 0.9 && noise > -0.25;
        colour = print ? propColours[1] : propColours[5];
      }
    }
    const level = Math.exp(0.4 * noise);
    out[0] = colour[0] * level;
    out[1] = colour[1] * level;
    out[2] = colour[2] * level;
  };
}

function boardPainter(field: NoiseField): Painter {
  return (point, out) => {
    const grain =
      field.data[(point.j & (field.height - 1)) * field.width + ((point.i >> 2) & (field.width - 1))];
    const level = Math.exp(0.4 * grain);
    out[0] = 0.17 * level;
    out[1] = 0.11 * level;
    out[2] = 0.065 * level;
  };
}

/** Boxes, jars and bundles on three shelves along each wall. */
function shelves(seed: number): Part[] {
  const random = createRandom(seed, 61);
  const field = pyramidNoise(512, 512, mixSeed(seed, 51), (step) => (step < 7 ? 0.4 : 0.25));
  const parts: Part[] = [];
  const cut = (grid: Grid): void => {
    const painter = clutterPainter(field, random);
    parts.push(setPart(grid, () => paintFlat(128, 128, painter)));
  };
  const box = (low: Vector3, high: Vector3): void => {
    for (const [corner, alongU, alongV] of boxFaces(low, high)) cut(faceGrid(corner, alongU, alongV));
  };
  const board = (low: Vector3, high: Vector3): void => {
    for (const [corner, alongU, alongV] of boxFaces(low, high)) {
      const long = length(alongU) > length(alongV);
      const grid = faceGrid(corner, alongU, alongV, long ? 41 : 3, long ? 3 : 41);
      parts.push(setPart(grid, () => paintFlat(long ? 1024 : 64, long ? 64 : 1024, boardPainter(field))));
    }
  };
  /** Places something at `along` the wall and `out` from it, for wall 0 to 3. */
  const place = (wall: number, along: number, out: number): [number, number] => {
    if (wall === 0) return [along, roomHalfYM - out];
    if (wall === 1) return [roomHalfXM - out, along];
    if (wall === 2) return [along, -roomHalfYM + out];
    return [-roomHalfXM + out, along];
  };
  for (let wall = 0; wall < 4; wall++) {
    const half = (wall & 1) === 0 ? roomHalfXM : roomHalfYM;
    for (const height of [-0.35, 0.1, 0.55, 1.0]) {
      const depth = 0.3;
      const [ax, ay] = place(wall, -half + 0.35, 0);
      const [bx, by] = place(wall, half - 0.35, depth);
      const low: Vector3 = [Math.min(ax, bx), Math.min(ay, by), height - 0.03];
      board(low, [Math.max(ax, bx), Math.max(ay, by), height]);
      let along = -half + 0.42;
      while (along < half - 0.6) {
        const width = random.between(0.09, 0.3);
        const tall = random.between(0.1, 0.36);
        const out = random.between(0.1, 0.2);
        if (random.uniform() < 0.55) {
          const [x, y] = place(wall, along + width / 2, out);
          const deep = random.between(0.06, 0.1);
          const [halfX, halfY] = (wall & 1) === 0 ? [width / 2, deep] : [deep, width / 2];
          box([x - halfX, y - halfY, height], [x + halfX, y + halfY, height + tall]);
        } else if (random.uniform() < 0.85) {
          const radius = Math.min(width / 2, 0.12);
          const profile = [0, 0.25, 0.5, 0.75, 1].map((t): readonly [number, number] => [
            radius * random.between(0.45, 1),
            t * tall,
          ]);
          const closed = [[0.001, 0] as const, ...profile, [0.001, tall] as const];
          const vessel = latheGrid(closed, 25, 19);
          const [x, y] = place(wall, along + width / 2, out);
          const positions = vessel.positions.map(
            (value, i) => value + (i % 3 === 0 ? x : i % 3 === 1 ? y : height),
          );
          cut({ ...vessel, positions });
        }
        along += width + random.between(0.01, 0.12);
      }
    }
  }
  return parts;
}

function room(seed: number): Part[] {
  const parts: Part[] = [];
  const floorZ = -tableHeightM;
  const x = roomHalfXM;
  const y = roomHalfYM;
  const walls: readonly (readonly [Vector3, Vector3])[] = [
    [
      [x, y, floorZ],
      [-2 * x, 0, 0],
    ],
    [
      [x, -y, floorZ],
      [0, 2 * y, 0],
    ],
    [
      [-x, -y, floorZ],
      [2 * x, 0, 0],
    ],
    [
      [-x, y, floorZ],
      [0, -2 * y, 0],
    ],
  ];
  walls.forEach(([corner, along], i) => {
    // Walls look inward: the normal of (along, up) must point into the room.
    const grid = faceGrid(
      [corner[0] + along[0], corner[1] + along[1], corner[2]],
      [-along[0], -along[1], 0],
      [0, 0, roomHeightM],
      21,
      15,
    );
    parts.push(setPart(grid, () => paintFlat(1024, 1024, wallPainter(mixSeed(seed, i), 1024, 1024, 26))));
  });
  const floor = faceGrid([-x, -y, floorZ], [2 * x, 0, 0], [0, 2 * y, 0], 31, 31);
  parts.push(setPart(floor, () => paintFlat(1024, 1024, floorPainter(seed, 1024))));
  const ceiling = faceGrid([-x, -y, floorZ + roomHeightM], [0, 2 * y, 0], [2 * x, 0, 0], 11, 11);
  parts.push(setPart(ceiling, () => paintFlat(32, 32, plainPainter(0.5, 0.48, 0.44))));
  return parts;
}

const windowDistanceM = 1.62;
const windowHalfM = 0.6;
const windowLowM = -0.5;
const windowHighM = 1.2;

/** A tall window before the shelves, three by four panes. */
export function makeWindow({ azimuthDeg, stops }: WindowOptions): Part {
  const azimuth = radians(azimuthDeg);
  const out: Vector3 = [Math.sin(azimuth), Math.cos(azimuth), 0];
  const along: Vector3 = [out[1], -out[0], 0];
  const corner: Vector3 = [
    windowDistanceM * out[0] - windowHalfM * along[0],
    windowDistanceM * out[1] - windowHalfM * along[1],
    windowLowM,
  ];
  const grid = faceGrid(
    corner,
    [2 * windowHalfM * along[0], 2 * windowHalfM * along[1], 0],
    [0, 0, windowHighM - windowLowM],
  );
  const painter: Painter = (point, out) => {
    const bar = Math.min((point.u * 3) % 1, (point.v * 4) % 1) < 0.06;
    out.fill(bar ? 0.01 : 1);
  };
  return { ...setPart(grid, () => paintFlat(256, 256, painter)), detail: 0, glow: 2 ** stops };
}

/** Everything but the prop. Parts that cast shadows come first. */
export function makeSurroundings(background: Background, seed: number): Part[] {
  const cloth = clothGrid(seed);
  if (background === "plain") {
    const parts = [setPart(cloth, () => paintFlat(32, 32, plainPainter(0.3, 0.3, 0.3)), true)];
    for (const part of room(seed).map((surface) => surface.grid)) {
      parts.push(setPart(part, () => paintFlat(32, 32, plainPainter(0.3, 0.3, 0.3))));
    }
    return parts.map((part) => ({ ...part, detail: 0 }));
  }
  const table = setPart(cloth, () => paintFlat(2048, 2048, clothPainter(seed, 2048, 1.56)), true);
  if (background === "wall") {
    const grid = faceGrid([1.4, -flatWallM, -tableHeightM], [-2.8, 0, 0], [0, 0, 2.2], 41, 31);
    const wall = setPart(grid, () => paintFlat(2048, 2048, wallPainter(seed, 2048, 2048, 24)));
    return [table, wall, ...room(seed)];
  }
  return [table, ...room(seed), ...shelves(seed)];
}
