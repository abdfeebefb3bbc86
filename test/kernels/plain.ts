/**
 * The kernels of src/kernels/assembly in plain TypeScript: what each must equal on random input. Written to be read, one
 * pixel at a time, over whole arrays; rows and memory are the kernels' business.
 */

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** ITU-R BT.601 weights in 14-bit fixed point, times 2^14. */
function luma14(rgb: Uint8Array, pixel: number): number {
  return 4899 * rgb[3 * pixel]! + 9617 * rgb[3 * pixel + 1]! + 1868 * rgb[3 * pixel + 2]!;
}

export function luma(rgb: Uint8Array): Uint8Array {
  return Uint8Array.from({ length: rgb.length / 3 }, (_, i) => (luma14(rgb, i) + 8192) >> 14);
}

export function exactLuma(rgb: Uint8Array): Float32Array {
  return Float32Array.from({ length: rgb.length / 3 }, (_, i) => luma14(rgb, i) / 16384);
}

/** Pixels from `from` to `to` with any channel, two or three, all three at the top, and all three at the bottom. */
export function counts(
  rgb: Uint8Array,
  from: number,
  to: number,
  clipped: number,
  near: number,
  blocked: number,
): number[] {
  const out = [0, 0, 0, 0];
  for (let i = from; i < to; i++) {
    const codes = [...rgb.subarray(3 * i, 3 * i + 3)];
    const high = codes.filter((code) => code >= clipped).length;
    if (high >= 1) out[0]!++;
    if (high >= 2 && codes.every((code) => code >= near)) out[1]!++;
    if (high === 3) out[2]!++;
    if (codes.every((code) => code <= blocked)) out[3]!++;
  }
  return out;
}

/** Value at (x, y) with the edge mirrored, the edge pixel not repeated. */
function mirrored(data: ArrayLike<number>, { width, height }: Size, x: number, y: number): number {
  const inside = (at: number, size: number) => (at < 0 ? -at : at >= size ? 2 * (size - 1) - at : at);
  return data[inside(y, height) * width + inside(x, width)]!;
}

/** Sums over a rectangle: the Laplacian, its square, the size of Immerkaer's operator (not at the frame's edge). */
export function laplacianSums(
  data: Uint8Array,
  size: Size,
  [x0, x1]: readonly [number, number],
  [y0, y1]: readonly [number, number],
): [number, number, number] {
  let sum = 0;
  let squares = 0;
  let noise = 0;
  for (let y = y0; y < y1; y++) {
    for (let x = x0; x < x1; x++) {
      const at = (dx: number, dy: number) => mirrored(data, size, x + dx, y + dy);
      const laplacian = at(0, -1) + at(-1, 0) - 4 * at(0, 0) + at(1, 0) + at(0, 1);
      sum += laplacian;
      squares += laplacian ** 2;
      if (x === 0 || y === 0 || x === size.width - 1 || y === size.height - 1) continue;
      const corners = at(-1, -1) + at(1, -1) + at(-1, 1) + at(1, 1);
      const sides = at(0, -1) + at(-1, 0) + at(1, 0) + at(0, 1);
      noise += Math.abs(corners - 2 * sides + 4 * at(0, 0));
    }
  }
  return [sum, squares, noise];
}

/** Area average, each source pixel by the share of the target pixel that it covers, rounded half up. */
export function shrink(data: Uint8Array, { width, height }: Size, channels: number, out: Size): Uint8Array {
  const result = new Uint8Array(channels * out.width * out.height);
  // In units of 1 / (source x target) every overlap is whole.
  const overlap = (target: number, source: number, sizeIn: number, sizeOut: number) =>
    Math.max(
      0,
      Math.min((target + 1) * sizeIn, (source + 1) * sizeOut) - Math.max(target * sizeIn, source * sizeOut),
    );
  const under = (target: number, sizeIn: number, sizeOut: number) => {
    const first = Math.floor((target * sizeIn) / sizeOut);
    const last = Math.min(sizeIn - 1, Math.floor(((target + 1) * sizeIn) / sizeOut));
    return Array.from({ length: last - first + 1 }, (_, k) => first + k);
  };
  for (let y = 0; y < out.height; y++) {
    for (let x = 0; x < out.width; x++) {
      for (let channel = 0; channel < channels; channel++) {
        let sum = 0n;
        for (const sy of under(y, height, out.height)) {
          for (const sx of under(x, width, out.width)) {
            const share = overlap(y, sy, height, out.height) * overlap(x, sx, width, out.width);
            sum += BigInt(share) * BigInt(data[channels * (sy * width + sx) + channel]!);
          }
        }
        const total = BigInt(width) * BigInt(height);
        result[channels * (y * out.width + x) + channel] = Number((sum + total / 2n) / total);
      }
    }
  }
  return result;
}

/** Separable blur in double precision; the edge is repeated. */
export function blur(
  source: ArrayLike<number>,
  { width, height }: Size,
  half: ArrayLike<number>,
): Float64Array {
  const inside = (at: number, size: number) => Math.max(0, Math.min(size - 1, at));
  const radius = half.length - 1;
  const pass = (from: ArrayLike<number>, dx: number, dy: number) =>
    Float64Array.from({ length: width * height }, (_, i) => {
      const x = i % width;
      const y = (i - x) / width;
      let sum = 0;
      for (let k = -radius; k <= radius; k++) {
        sum += half[Math.abs(k)]! * from[inside(y + k * dy, height) * width + inside(x + k * dx, width)]!;
      }
      return sum;
    });
  return pass(pass(source, 0, 1), 1, 0);
}

/** Indexes of pixels of the middle level beyond +-floor that none of their 26 neighbours exceeds. */
export function extrema(
  levels: readonly [Float32Array, Float32Array, Float32Array],
  { width, height }: Size,
  border: number,
  floor: number,
): number[] {
  const found: number[] = [];
  const least = Math.fround(floor);
  for (let y = border; y < height - border; y++) {
    for (let x = border; x < width - border; x++) {
      const v = levels[1][y * width + x]!;
      if (Math.abs(v) <= least) continue;
      const around: number[] = [];
      for (const level of levels) {
        for (let dy = -1; dy <= 1; dy++) {
          for (let dx = -1; dx <= 1; dx++) around.push(level[(y + dy) * width + x + dx]!);
        }
      }
      if (v > 0 ? around.every((other) => other <= v) : around.every((other) => other >= v)) {
        found.push(y * width + x);
      }
    }
  }
  return found;
}

/** Set bits of two descriptors that differ. */
function distance(a: Uint32Array, i: number, b: Uint32Array, j: number): number {
  let bits = 0;
  for (let w = 0; w < 8; w++) {
    for (let v = a[8 * i + w]! ^ b[8 * j + w]!; v !== 0; v &= v - 1) bits++;
  }
  return bits;
}

/**
 * For each descriptor of a: the nearest of b (the first of equals), its distance and the second.
 * @param compared which of b it is compared with
 * @param far distance from which on all are equally far
 */
export function nearest(
  a: Uint32Array,
  b: Uint32Array,
  compared: (i: number, j: number) => boolean = () => true,
  far = 255,
): { best: number; near: number; next: number }[] {
  return Array.from({ length: a.length / 8 }, (_, i) => {
    const all = Array.from({ length: b.length / 8 }, (_, j) => ({ j, d: distance(a, i, b, j) })).filter(
      ({ j, d }) => d < far && compared(i, j),
    );
    all.sort((p, q) => p.d - q.d || p.j - q.j);
    return { best: all[0]?.j ?? -1, near: all[0]?.d ?? far, next: all[1]?.d ?? far };
  });
}

/** Peaks of the direction histogram, radians, strongest first, two at most; see measure/features/orientation.ts. */
export function directions(
  image: Float32Array,
  { width, height }: Size,
  x: number,
  y: number,
  sigma: number,
): number[] {
  const bins = 36;
  const raw = new Float64Array(bins);
  for (let v = -7; v <= 7; v++) {
    for (let u = -7; u <= 7; u++) {
      const steps = Math.hypot(u, v);
      if (steps > 7) continue;
      const px = Math.round(x + u * 0.6 * sigma);
      const py = Math.round(y + v * 0.6 * sigma);
      if (px < 1 || py < 1 || px > width - 2 || py > height - 2) continue;
      const i = py * width + px;
      const gx = image[i + 1]! - image[i - 1]!;
      const gy = image[i + width]! - image[i - width]!;
      const at = ((Math.atan2(gy, gx) + Math.PI) / (2 * Math.PI)) * bins;
      const weight = Math.exp(-((0.6 * steps) ** 2) / (2 * 1.5 ** 2)) * Math.hypot(gx, gy);
      raw[Math.floor(at) % bins]! += weight * (1 - (at % 1));
      raw[(Math.floor(at) + 1) % bins]! += weight * (at % 1);
    }
  }
  const around = (values: Float64Array, k: number) => values[(k + bins) % bins]!;
  const smooth = raw.map(
    (v, k) =>
      (6 * v + 4 * (around(raw, k - 1) + around(raw, k + 1)) + around(raw, k - 2) + around(raw, k + 2)) / 16,
  );
  const peaks = [...smooth.keys()]
    .filter(
      (k) => smooth[k]! > 0 && smooth[k]! >= around(smooth, k - 1) && smooth[k]! > around(smooth, k + 1),
    )
    .sort((p, q) => smooth[q]! - smooth[p]!)
    .slice(0, 2);
  return peaks
    .filter((k) => smooth[k]! >= 0.8 * smooth[peaks[0]!]!)
    .map((k) => {
      const left = around(smooth, k - 1);
      const right = around(smooth, k + 1);
      const at = k + (0.5 * (left - right)) / (left - 2 * smooth[k]! + right);
      return (at / bins) * 2 * Math.PI - Math.PI;
    });
}

/** The 256 bits of a blob as eight words; see measure/features/descriptor.ts. */
export function descriptor(
  image: Float32Array,
  { width, height }: Size,
  x: number,
  y: number,
  sigma: number,
  angle: number,
  bright: boolean,
): Uint32Array {
  const read = (px: number, py: number) => {
    const qx = Math.max(0, Math.min(px, width - 1.001));
    const qy = Math.max(0, Math.min(py, height - 1.001));
    const [ix, iy] = [Math.floor(qx), Math.floor(qy)];
    const at = (dx: number, dy: number) => image[(iy + dy) * width + ix + dx]!;
    const top = at(0, 0) + (qx - ix) * (at(1, 0) - at(0, 0));
    const bottom = at(0, 1) + (qx - ix) * (at(1, 1) - at(0, 1));
    return top + (qy - iy) * (bottom - top);
  };
  // 16 x 16 gradients, one sigma apart, turned by the angle.
  const sample = (u: number, v: number) => {
    const [right, down] = [(u - 7.5) * sigma, (v - 7.5) * sigma];
    return read(
      x + right * Math.cos(angle) - down * Math.sin(angle),
      y + right * Math.sin(angle) + down * Math.cos(angle),
    );
  };
  const cells = Array.from({ length: 16 }, () => new Float64Array(8));
  for (let v = 0; v < 16; v++) {
    for (let u = 0; u < 16; u++) {
      const gx = sample(u + 1, v) - sample(u - 1, v);
      const gy = sample(u, v + 1) - sample(u, v - 1);
      const [ax, ay] = [Math.abs(gx), Math.abs(gy)];
      const straight = ax < ay ? (gy < 0 ? 6 : 2) : gx < 0 ? 4 : 0;
      const diagonal = gx < 0 ? (gy < 0 ? 5 : 3) : gy < 0 ? 7 : 1;
      const window = Math.exp(-((u - 7.5) ** 2 + (v - 7.5) ** 2) / (2 * 8 ** 2));
      for (let cy = 0; cy < 4; cy++) {
        for (let cx = 0; cx < 4; cx++) {
          const share =
            Math.max(0, 1 - Math.abs((u + 0.5) / 4 - 0.5 - cx)) *
            Math.max(0, 1 - Math.abs((v + 0.5) / 4 - 0.5 - cy));
          cells[4 * cy + cx]![straight]! += window * share * Math.abs(ax - ay);
          cells[4 * cy + cx]![diagonal]! += window * share * Math.SQRT2 * Math.min(ax, ay);
        }
      }
    }
  }
  const words = new Uint32Array(8);
  cells.forEach((cell, k) => {
    const [cx, cy] = [k % 4, Math.floor(k / 4)];
    const right = (cx + cy) % 2 === 0;
    const other = cells[right ? 4 * cy + ((cx + 1) % 4) : 4 * ((cy + 1) % 4) + cx]!;
    // A byte a cell, straight directions first.
    [0, 2, 4, 6, 1, 3, 5, 7].forEach((d, bit) => {
      const place = 2 ** (8 * (k % 4) + bit);
      const word = Math.floor(k / 4);
      if (cell[d]! > cell[(d + 1) % 8]!) words[word]! += place;
      if (cell[d]! > other[d]!) words[4 + word]! += place;
    });
  });
  words[7] = ((words[7]! & 0x7fffffff) | (bright ? 0x80000000 : 0)) >>> 0;
  return words;
}

/** The equations of {@link spreadCells}: every cell's weight in its own observation, and its affinity to its neighbours. */
export function weighCells(
  { width }: Size,
  { weight, observation, right, below }: Record<"weight" | "observation" | "right" | "below", Float32Array>,
): Record<"diagonal" | "right" | "below" | "rightHandSide", ArrayLike<number>> {
  return {
    diagonal: Array.from(
      weight,
      (own, i) => own + right[i]! + below[i]! + (right[i - 1] ?? 0) + (below[i - width] ?? 0),
    ),
    right,
    below,
    rightHandSide: Array.from(weight, (own, i) => own * observation[i]!),
  };
}

/**
 * Conjugate gradients for A x = rightHandSide, where A takes the affinity of neighbours times their values from `diagonal` times a
 * cell's own, in double precision: see assembly/spread.ts.
 */
export function spreadCells(
  { width, height }: Size,
  {
    diagonal,
    right,
    below,
    rightHandSide,
  }: Record<"diagonal" | "right" | "below" | "rightHandSide", ArrayLike<number>>,
  start: ArrayLike<number>,
  steps: number,
  enough: number,
): number[] {
  const cells = Array.from({ length: width * height }, (_, i) => i);
  const times = (by: readonly number[]) =>
    cells.map((i) => {
      let value = diagonal[i]! * by[i]!;
      if (i % width < width - 1) value -= right[i]! * by[i + 1]!;
      if (i % width > 0) value -= right[i - 1]! * by[i - 1]!;
      if (i + width < cells.length) value -= below[i]! * by[i + width]!;
      if (i >= width) value -= below[i - width]! * by[i - width]!;
      return value;
    });
  const dot = (a: readonly number[], b: readonly number[]) =>
    a.reduce((sum, value, i) => sum + value * b[i]!, 0);
  let x = Array.from(start);
  const first = times(x);
  let residual = cells.map((i) => rightHandSide[i]! - first[i]!);
  let direction = residual.map((left, i) => left / diagonal[i]!);
  let error = dot(residual, direction);
  for (let step = 0; step < steps && error > enough; step++) {
    const product = times(direction);
    const alpha = error / dot(product, direction);
    x = x.map((value, i) => value + alpha * direction[i]!);
    residual = residual.map((left, i) => left - alpha * product[i]!);
    const wanted = residual.map((left, i) => left / diagonal[i]!);
    const next = dot(residual, wanted);
    direction = wanted.map((value, i) => value + (next / error) * direction[i]!);
    error = next;
  }
  return x;
}

/** Lower Cholesky factor; undefined where the matrix is not positive definite. @param a size * size, its lower triangle read */
export function cholesky(a: ArrayLike<number>, size: number): Float64Array | undefined {
  const l = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = a[i * size + j]!;
      for (let k = 0; k < j; k++) sum -= l[i * size + k]! * l[j * size + k]!;
      if (i === j && !(sum > 0)) return undefined;
      l[i * size + j] = i === j ? Math.sqrt(sum) : sum / l[j * size + j]!;
    }
  }
  return l;
}

/** A point in the equations of the unknowns that see it: see assembly/bundle.ts. */
export interface MixedPoint {
  readonly rows: readonly number[];
  /** Three slopes for each of the rows. */
  readonly w: readonly (readonly number[])[];
  /** Symmetric, 3 x 3. */
  readonly inverse: readonly (readonly number[])[];
  readonly bp: readonly number[];
}

/** h -= w inverse wT and b -= w inverse bp, point by point; h whole, size * size. */
export function eliminatePoints(points: readonly MixedPoint[], h: Float64Array, b: Float64Array): void {
  const size = b.length;
  const dot = (p: readonly number[], q: readonly number[]) => p.reduce((sum, v, c) => sum + v * q[c]!, 0);
  for (const { rows, w, inverse, bp } of points) {
    rows.forEach((row, a) => {
      const by = inverse.map((line) => dot(line, w[a]!));
      b[row]! -= dot(by, bp);
      rows.forEach((column, e) => {
        h[row * size + column]! -= dot(by, w[e]!);
      });
    });
  }
}

/**
 * Votes of photos for one another, a row each: one for each two keypoints of both that agree in all picked bits, unless
 * more than `most` keypoints of the set agree with them.
 *
 * @param photos descriptors, a photo each
 */
export function votes(photos: readonly Uint32Array[], picked: readonly number[], most: number): number[][] {
  const sharing = new Map<string, number[]>();
  photos.forEach((words, photo) => {
    for (let at = 0; at < words.length; at += 8) {
      const key = picked.map((bit) => (words[at + (bit >> 5)]! >>> (bit & 31)) & 1).join("");
      sharing.set(key, [...(sharing.get(key) ?? []), photo]);
    }
  });
  const out = photos.map(() => photos.map(() => 0));
  for (const own of sharing.values()) {
    if (own.length > most) continue;
    for (const i of own) for (const j of own) if (i !== j) out[i]![j]!++;
  }
  return out;
}

/** A match around which a surface is followed: place in a, movement to b, luminance in a; see assembly/follow.ts. */
export interface Match {
  readonly x: number;
  readonly y: number;
  readonly u: number;
  readonly v: number;
  readonly luminance: number;
}

/** Where the surface around (x, y) is in the other photo; undefined where too few matches say so, or do not agree. */
function movementAround(
  all: readonly Match[],
  x: number,
  y: number,
): ((px: number, py: number) => [number, number]) | undefined {
  const nearest = all
    .map((match) => ({ match, square: (match.x - x) * (match.x - x) + (match.y - y) * (match.y - y) }))
    .filter(({ square }) => square < 0.15 * 0.15)
    .sort((p, q) => p.square - q.square)
    .slice(0, 20);
  if (nearest.length < 5) return undefined;
  const middleOf = (read: (match: Match) => number) => {
    const values = nearest.map(({ match }) => read(match)).sort((p, q) => p - q);
    const upper = values.length >> 1;
    return values.length % 2 === 1 ? values[upper]! : (values[upper - 1]! + values[upper]!) / 2;
  };
  const usual = middleOf(({ luminance }) => luminance);
  const near = Math.max(0.02 * 0.02, nearest.at(-1)!.square / 2);
  const says = nearest.map(
    ({ match, square }) => (match.luminance > 1.4 * usual ? 0.2 : 1) / (1 + square / near),
  );
  const sumOf = (values: readonly number[], first = 0) => values.reduce((sum, value) => sum + value, first);
  let [f0, f1, f2] = [middleOf(({ u }) => u), 0, 0];
  let [f3, f4, f5] = [middleOf(({ v }) => v), 0, 0];
  let left = 0;
  for (let pass = 0; pass < 6; pass++) {
    const weights = nearest.map(({ match }, k) => {
      const [dx, dy] = [match.x - x, match.y - y];
      const u = match.u - f0 - f1 * dx - f2 * dy;
      const v = match.v - f3 - f4 * dx - f5 * dy;
      return says[k]! / (1 + (u * u + v * v) / (0.006 * 0.006));
    });
    left = sumOf(weights);
    const mean = (read: (match: Match) => number) =>
      sumOf(nearest.map(({ match }, k) => weights[k]! * read(match))) / left;
    const [mx, my, mu, mv] = [mean((m) => m.x), mean((m) => m.y), mean((m) => m.u), mean((m) => m.v)];
    const product = (p: (match: Match) => number, q: (match: Match) => number, first = 0) =>
      sumOf(
        nearest.map(({ match }, k) => weights[k]! * p(match) * q(match)),
        first,
      );
    const [dx, dy] = [(m: Match) => m.x - mx, (m: Match) => m.y - my];
    const [du, dv] = [(m: Match) => m.u - mu, (m: Match) => m.v - mv];
    const stiff = left * 0.015 * 0.015;
    const [xx, xy, yy] = [product(dx, dx, stiff), product(dx, dy), product(dy, dy, stiff)];
    const determinant = xx * yy - xy * xy;
    const slopes = (d: (match: Match) => number) => {
      const [ofX, ofY] = [product(d, dx), product(d, dy)];
      return [(ofX * yy - ofY * xy) / determinant, (ofY * xx - ofX * xy) / determinant] as const;
    };
    [f1, f2] = slopes(du);
    [f4, f5] = slopes(dv);
    f0 = mu + f1 * (x - mx) + f2 * (y - my);
    f3 = mv + f4 * (x - mx) + f5 * (y - my);
  }
  if (left < 0.3 * sumOf(says)) return undefined;
  return (px, py) => [px + f0 + f1 * (px - x) + f2 * (py - y), py + f3 + f4 * (px - x) + f5 * (py - y)];
}

/** Where photo b shows the surface in each cell of a, in b's cells; NaN outside the blocks and where it is not known. */
export function followBlocks(
  matches: readonly Match[],
  blocks: readonly number[],
  side: number,
  { width, height }: Size,
  longB: number,
): { xs: Float32Array; ys: Float32Array } {
  const long = Math.max(width, height);
  const xs = new Float32Array(width * height).fill(Number.NaN);
  const ys = xs.slice();
  for (const cell of blocks) {
    const [left, top] = [cell % width, Math.floor(cell / width)];
    const [right, bottom] = [Math.min(width, left + side), Math.min(height, top + side)];
    const movement = movementAround(matches, (left + right) / 2 / long, (top + bottom) / 2 / long);
    if (movement === undefined) continue;
    for (let row = top; row < bottom; row++) {
      for (let column = left; column < right; column++) {
        const [x, y] = movement((column + 0.5) / long, (row + 0.5) / long);
        xs[row * width + column] = x * longB - 0.5;
        ys[row * width + column] = y * longB - 0.5;
      }
    }
  }
  return { xs, ys };
}

/** Lowest and highest light within `slack` of each place; NaN at places off the grid or with less than `least` share. */
export function lightAround(
  places: readonly (readonly [number, number])[],
  light: ArrayLike<number>,
  share: ArrayLike<number>,
  { width, height }: Size,
  least: number,
  slack: number,
): number[] {
  const valueAt = (grid: ArrayLike<number>, x: number, y: number) => {
    const [cx, cy] = [Math.max(0, Math.min(width - 1, x)), Math.max(0, Math.min(height - 1, y))];
    const [left, top] = [Math.floor(cx), Math.floor(cy)];
    const [fx, fy] = [cx - left, cy - top];
    const at = (dx: number, dy: number) =>
      grid[Math.min(height - 1, top + dy) * width + Math.min(width - 1, left + dx)]!;
    return (1 - fy) * ((1 - fx) * at(0, 0) + fx * at(1, 0)) + fy * ((1 - fx) * at(0, 1) + fx * at(1, 1));
  };
  return places.flatMap(([x, y]) => {
    const inside = x >= 0 && y >= 0 && x <= width - 1 && y <= height - 1;
    if (!inside || valueAt(share, x, y) < least) return [Number.NaN, Number.NaN];
    const around = [-slack, 0, slack].flatMap((dy) =>
      [-slack, 0, slack].map((dx) => valueAt(light, x + dx, y + dy)),
    );
    return [Math.min(...around), Math.max(...around)];
  });
}

/** A motion of the camera, and the two directions that its translation can move in. */
export interface MovingMotion {
  /** 3 x 3. */
  readonly rotation: readonly (readonly number[])[];
  readonly translation: readonly number[];
  readonly tangents: readonly (readonly number[])[];
}

const times = (m: readonly (readonly number[])[], v: readonly number[]) => m.map((row) => inner(row, v));
const inner = (p: readonly number[], q: readonly number[]) => p.reduce((sum, c, k) => sum + c * q[k]!, 0);
const across = ([a, b, c]: readonly number[], [d, e, f]: readonly number[]) => [
  b! * f! - c! * e!,
  c! * d! - a! * f!,
  a! * e! - b! * d!,
];

/** What one match (xa, ya, xb, yb) says of a motion: see assembly/motion.ts. */
function epipolar([xa, ya, xb, yb]: readonly number[], { rotation, translation }: MovingMotion) {
  const p = times(rotation, [xa!, ya!, 1]);
  const b = [xb!, yb!, 1];
  const lineInB = across(translation, p);
  const columns = [0, 1, 2].map((c) => rotation.map((row) => row[c]!));
  const lineInA = times(columns, across(b, translation));
  const gradient = lineInB[0]! ** 2 + lineInB[1]! ** 2 + lineInA[0]! ** 2 + lineInA[1]! ** 2;
  return { p, b, normal: across(p, b), gradient, residual: inner(b, lineInB) / Math.sqrt(gradient) };
}

/** Sampson distances of matches from a motion. */
export function sampsonDistances(matches: readonly (readonly number[])[], motion: MovingMotion): number[] {
  return matches.map((match) => Math.abs(epipolar(match, motion).residual));
}

/** Five rows of the symmetric matrix, the right side behind each, and the sum of the robust costs. */
export function motionEquations(
  matches: readonly (readonly number[])[],
  motion: MovingMotion,
  scale: number,
): { rows: number[][]; cost: number } {
  const rows = Array.from({ length: 5 }, () => new Array<number>(6).fill(0));
  let cost = 0;
  for (const match of matches) {
    const { p, b, normal, gradient, residual } = epipolar(match, motion);
    const turned = across(p, across(b, motion.translation));
    const slopes = [...turned, ...motion.tangents.map((tangent) => inner(tangent, normal))].map(
      (slope) => slope / Math.sqrt(gradient),
    );
    cost += residual ** 2 / (residual ** 2 + scale ** 2);
    const weight = (scale ** 2 / (residual ** 2 + scale ** 2)) ** 2;
    rows.forEach((row, k) => {
      [...slopes, -residual].forEach((value, c) => {
        row[c]! += weight * slopes[k]! * value;
      });
    });
  }
  return { rows, cost };
}

/** xx, xy, xz, yy, yz, zz of the weighted sum of normal times normal. */
export function normalSums(
  matches: readonly (readonly number[])[],
  motion: MovingMotion,
  scale: number,
): number[] {
  const sums = [0, 0, 0, 0, 0, 0];
  for (const match of matches) {
    const { normal, gradient, residual } = epipolar(match, motion);
    const weight = 1 / (gradient * (1 + (residual / scale) ** 2) ** 2);
    const [x, y, z] = normal as [number, number, number];
    [x * x, x * y, x * z, y * y, y * z, z * z].forEach((product, k) => {
      sums[k]! += weight * product;
    });
  }
  return sums;
}

/**
 * What one view adds to the odds of cubes, undefined for those outside its frame: see assembly/hull.ts.
 *
 * @param view rotation, centre, focal length and principal point, cells along and width, cells down and height
 */
export function votesOf(
  view: readonly number[],
  probabilities: Float32Array,
  middles: readonly (readonly number[])[],
  seenThrough: number,
  covered: number,
): (number | undefined)[] {
  const [focal = 0, centreX = 0, centreY = 0, columns = 0, width = 0, rows = 0, height = 0] = view.slice(12);
  return middles.map((middle) => {
    const from = middle.map((value, c) => value - view[9 + c]!);
    const [across = 0, down = 0, depth = 0] = [0, 3, 6].map((row) =>
      from.reduce((sum, value, c) => sum + view[row + c]! * value, 0),
    );
    if (depth <= 0) return undefined;
    const column = Math.floor(((centreX + (focal * across) / depth + 0.5) * columns) / width);
    const row = Math.floor(((centreY + (focal * down) / depth + 0.5) * rows) / height);
    if (column < 0 || row < 0 || column >= columns || row >= rows) return undefined;
    const lean = 2 * probabilities[row * columns + column]! - 1;
    return lean < 0 ? -lean * seenThrough : lean * covered;
  });
}

/** Centre x, centre y and scale that bring points to centroid 0 and mean distance sqrt 2: see assembly/products.ts. */
export function normalise(points: readonly (readonly [number, number])[]): [number, number, number] {
  const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length;
  const [x, y] = [mean(points.map(([px]) => px)), mean(points.map(([, py]) => py))];
  return [x, y, Math.SQRT2 / mean(points.map(([px, py]) => Math.hypot(px - x, py - y)))];
}

/** A row of six for each product of two entries of (u, v, 1): its weighted sums with those of (x, y, 1). */
export function productSums(
  from: readonly (readonly [number, number])[],
  to: readonly (readonly [number, number])[],
  weights: readonly number[],
): number[][] {
  const products = (points: readonly (readonly [number, number])[], i: number) => {
    const [centreX, centreY, scale] = normalise(points);
    const [x, y] = [scale * (points[i]![0] - centreX), scale * (points[i]![1] - centreY)];
    return [x * x, x * y, x, y * y, y, 1];
  };
  const sums = Array.from({ length: 6 }, () => new Array<number>(6).fill(0));
  weights.forEach((weight, i) => {
    products(to, i).forEach((q, row) => {
      products(from, i).forEach((p, column) => {
        sums[row]![column]! += weight * q * p;
      });
    });
  });
  return sums;
}

/**
 * Mean of the squared distances forth (in b) and back (in a) of a homography and its inverse; Infinity where a point is sent
 * behind the horizon.
 */
export function transferError(
  h: readonly number[],
  inverse: ArrayLike<number>,
  [x, y, u, v]: readonly number[],
): number {
  const sent = (m: ArrayLike<number>, px: number, py: number) =>
    [0, 3, 6].map((row) => m[row]! * px + m[row + 1]! * py + m[row + 2]!) as [number, number, number];
  const [p, q, w] = sent(h, x!, y!);
  const [r, s, z] = sent(inverse, u!, v!);
  if (!(w * z > 0)) return Number.POSITIVE_INFINITY;
  const forth = (p / w - u!) ** 2 + (q / w - v!) ** 2;
  return (forth + (r / z - x!) ** 2 + (s / z - y!) ** 2) / 2;
}
