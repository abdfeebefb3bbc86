/** The movement of a surface from one photo to another around each place, by the matches there: measure/light/warp.ts. */

/** A match is five f64: place in a, movement to b (shares of a long edge), luminance in a. */
const MATCH: i32 = 40;

/** How many of the nearest matches decide, within this share of the long edge; fewer than FEWEST say nothing. */
const NEAREST: i32 = 20;
const REACH: f64 = 0.15;
const FEWEST: i32 = 5;
/** Passes of the robust fit, and the residual at which a match starts to lose its say, share of the long edge. */
const PASSES: i32 = 6;
const RESIDUAL: f64 = 0.006;
/** Share of the matches' say that must be left after the fit: below, they do not agree on a movement. */
const LEAST_AGREEMENT: f64 = 0.3;
/** Distance within which nearest matches count about alike, share of the long edge. */
const NEAR: f64 = 0.02;
/** How firmly the movement is held to be the same all over the block where few matches say otherwise: distance. */
const STIFFNESS: f64 = 0.015;
/** A patch this many times as bright as those around it may be a highlight, whose say is small. */
const SUSPICIOUS: f64 = 1.4;
const SAY_OF_SUSPICIOUS: f64 = 0.2;

/** The nearest matches, nearest first, and their squared distances; one more than NEAREST is moved out at the end. */
const nearest = memory.data(4 * (NEAREST + 1));
const squares = memory.data(8 * (NEAREST + 1));
const sorted = memory.data(8 * NEAREST);
/** What each of them has to say by its place and luminance, and by how well it agrees. */
const says = memory.data(8 * NEAREST);
const weights = memory.data(8 * NEAREST);

/** The movement fitted, (u, v): in the middle of the block, and how it changes with x and with y from there. */
let middle = f64x2.splat(0);
let byX = f64x2.splat(0);
let byY = f64x2.splat(0);

function matchOf(k: i32): usize {
  return load<u32>(nearest + 4 * k);
}

function squareOf(k: i32): f64 {
  return load<f64>(squares + 8 * k);
}

/** Finds the matches nearest to a place. @returns how many there are, NEAREST at most */
function findNearest(matches: usize, end: usize, x: f64, y: f64): i32 {
  let count = 0;
  for (let match = matches; match < end; match += MATCH) {
    const dx = load<f64>(match) - x;
    const dy = load<f64>(match, 8) - y;
    const square = dx * dx + dy * dy;
    if (square >= REACH * REACH || (count === NEAREST && square >= squareOf(NEAREST - 1))) continue;
    let k = count;
    while (k > 0 && squareOf(k - 1) > square) {
      store<f64>(squares + 8 * k, squareOf(k - 1));
      store<u32>(nearest + 4 * k, <u32>matchOf(k - 1));
      k--;
    }
    store<f64>(squares + 8 * k, square);
    store<u32>(nearest + 4 * k, <u32>match);
    if (count < NEAREST) count++;
  }
  return count;
}

/** Median of one field over the nearest matches: see medianOfFew. @param field its offset, bytes */
function medianField(count: i32, field: usize): f64 {
  for (let n = 0; n < count; n++) {
    const value = load<f64>(matchOf(n) + field);
    let at = sorted + 8 * n;
    for (; at > sorted && load<f64>(at - 8) > value; at -= 8) store<f64>(at, load<f64>(at - 8));
    store<f64>(at, value);
  }
  const upper = sorted + 8 * (count >> 1);
  return count & 1 ? load<f64>(upper) : (load<f64>(upper - 8) + load<f64>(upper)) / 2;
}

/** Weighs each match by how well it agrees with the movement so far. @returns the sum of weights */
function weighMatches(count: i32, x: f64, y: f64): f64 {
  let sum: f64 = 0;
  for (let k = 0; k < count; k++) {
    const match = matchOf(k);
    const dx = f64x2.splat(load<f64>(match) - x);
    const dy = f64x2.splat(load<f64>(match, 8) - y);
    let off = f64x2.sub(v128.load(match, 16), middle);
    off = f64x2.sub(off, f64x2.mul(byX, dx));
    off = f64x2.sub(off, f64x2.mul(byY, dy));
    const squared = f64x2.mul(off, off);
    const apart = f64x2.extract_lane(squared, 0) + f64x2.extract_lane(squared, 1);
    const weight = load<f64>(says + 8 * k) / (1 + apart / (RESIDUAL * RESIDUAL));
    store<f64>(weights + 8 * k, weight);
    sum += weight;
  }
  return sum;
}

/** Weighted least squares with a weak prior of one movement all over. @param sum of the weights */
function fitAffine(count: i32, x: f64, y: f64, sum: f64): void {
  let places = f64x2.splat(0);
  let movements = f64x2.splat(0);
  for (let k = 0; k < count; k++) {
    const match = matchOf(k);
    const w = v128.load_splat<f64>(weights + 8 * k);
    places = f64x2.add(places, f64x2.mul(w, v128.load(match)));
    movements = f64x2.add(movements, f64x2.mul(w, v128.load(match, 16)));
  }
  places = f64x2.div(places, f64x2.splat(sum));
  movements = f64x2.div(movements, f64x2.splat(sum));
  const mx = f64x2.extract_lane(places, 0);
  const my = f64x2.extract_lane(places, 1);
  let xx = sum * STIFFNESS * STIFFNESS;
  let yy = xx;
  let xy: f64 = 0;
  /** (u, v) times x, and times y. */
  let ofX = f64x2.splat(0);
  let ofY = ofX;
  for (let k = 0; k < count; k++) {
    const match = matchOf(k);
    const w = load<f64>(weights + 8 * k);
    const dx = load<f64>(match) - mx;
    const dy = load<f64>(match, 8) - my;
    xx += w * dx * dx;
    xy += w * dx * dy;
    yy += w * dy * dy;
    const moved = f64x2.mul(f64x2.splat(w), f64x2.sub(v128.load(match, 16), movements));
    ofX = f64x2.add(ofX, f64x2.mul(moved, f64x2.splat(dx)));
    ofY = f64x2.add(ofY, f64x2.mul(moved, f64x2.splat(dy)));
  }
  const determinant = f64x2.splat(xx * yy - xy * xy);
  const cross = f64x2.splat(xy);
  byX = f64x2.div(f64x2.sub(f64x2.mul(ofX, f64x2.splat(yy)), f64x2.mul(ofY, cross)), determinant);
  byY = f64x2.div(f64x2.sub(f64x2.mul(ofY, f64x2.splat(xx)), f64x2.mul(ofX, cross)), determinant);
  middle = f64x2.add(movements, f64x2.mul(byX, f64x2.splat(x - mx)));
  middle = f64x2.add(middle, f64x2.mul(byY, f64x2.splat(y - my)));
}

/**
 * Movement around a place: a robust affine fit to the nearest matches.
 *
 * @returns whether there are enough matches and they agree: then it is in `middle`, `byX` and `byY`
 * @see Holland & Welsch 1977 for the weights (Cauchy)
 */
function fitMovement(matches: usize, end: usize, x: f64, y: f64): bool {
  const count = findNearest(matches, end, x, y);
  if (count < FEWEST) return false;
  const usualLuminance = medianField(count, 32);
  const near = max(NEAR * NEAR, squareOf(count - 1) / 2);
  let total: f64 = 0;
  for (let k = 0; k < count; k++) {
    const suspicious = load<f64>(matchOf(k), 32) > SUSPICIOUS * usualLuminance;
    const say = (suspicious ? SAY_OF_SUSPICIOUS : 1) / (1 + squareOf(k) / near);
    store<f64>(says + 8 * k, say);
    total += say;
  }
  middle = f64x2(medianField(count, 16), medianField(count, 24));
  byX = f64x2.splat(0);
  byY = f64x2.splat(0);
  let left: f64 = 0;
  for (let pass = 0; pass < PASSES; pass++) {
    left = weighMatches(count, x, y);
    fitAffine(count, x, y, left);
  }
  return left >= LEAST_AGREEMENT * total;
}

/**
 * Writes where photo b shows the surface in each cell of some blocks of photo a; cells of blocks whose matches are too
 * few, or do not agree, stay as they are.
 *
 * @param matches from there to `end`
 * @param blocks the first cell of each, i32
 * @param side cells of a block each way; it ends with the grid
 * @param columns, rows cells of a
 * @param longB cells of b's long edge
 * @param xs, ys columns * rows of f32, in cells of b
 */
export function followBlocks(
  matches: usize,
  end: usize,
  blocks: usize,
  count: i32,
  side: i32,
  columns: i32,
  rows: i32,
  longB: f64,
  xs: usize,
  ys: usize,
): void {
  const long = <f64>max(columns, rows);
  for (let block = blocks; block < blocks + 4 * count; block += 4) {
    const cell = load<i32>(block);
    const left = cell % columns;
    const top = cell / columns;
    const right = min(columns, left + side);
    const bottom = min(rows, top + side);
    const x = <f64>(left + right) / 2 / long;
    const y = <f64>(top + bottom) / 2 / long;
    if (!fitMovement(matches, end, x, y)) continue;
    for (let row = top; row < bottom; row++) {
      for (let column = left; column < right; column++) {
        const px = (<f64>column + 0.5) / long;
        const py = (<f64>row + 0.5) / long;
        let to = f64x2.add(f64x2(px, py), middle);
        to = f64x2.add(to, f64x2.mul(byX, f64x2.splat(px - x)));
        to = f64x2.add(to, f64x2.mul(byY, f64x2.splat(py - y)));
        to = f64x2.sub(f64x2.mul(to, f64x2.splat(longB)), f64x2.splat(0.5));
        const at = 4 * (row * columns + column);
        store<f32>(xs + at, <f32>f64x2.extract_lane(to, 0));
        store<f32>(ys + at, <f32>f64x2.extract_lane(to, 1));
      }
    }
  }
}

/** Value of a grid of f64, bilinear; places outside take the nearest edge. */
function valueAt(grid: usize, columns: i32, rows: i32, x: f64, y: f64): f64 {
  const cx = max<f64>(0, min<f64>(columns - 1, x));
  const cy = max<f64>(0, min<f64>(rows - 1, y));
  const left = <i32>cx;
  const top = <i32>cy;
  const fx = cx - left;
  const fy = cy - top;
  const right = min(columns - 1, left + 1);
  const upper = grid + 8 * top * columns;
  const lower = grid + 8 * min(rows - 1, top + 1) * columns;
  return (
    (1 - fy) * ((1 - fx) * load<f64>(upper + 8 * left) + fx * load<f64>(upper + 8 * right)) +
    fy * ((1 - fx) * load<f64>(lower + 8 * left) + fx * load<f64>(lower + 8 * right))
  );
}

/**
 * Lowest and highest light around the place where photo b shows each of some cells of photo a.
 *
 * @param cells of a, i32
 * @param xs, ys their places by {@link followBlocks}
 * @param light, share what b's cells show, and how much of each the subject fills: columns * rows of f64
 * @param least share from which a place counts
 * @param slack how far around is looked, cells
 * @param ranges two f64 a cell, low and high; no number where the place is unknown or does not count
 */
export function lightAround(
  cells: usize,
  count: i32,
  xs: usize,
  ys: usize,
  light: usize,
  share: usize,
  columns: i32,
  rows: i32,
  least: f64,
  slack: f64,
  ranges: usize,
): void {
  for (let k = 0; k < count; k++) {
    const cell = load<i32>(cells + 4 * k);
    const x = <f64>load<f32>(xs + 4 * cell);
    const y = <f64>load<f32>(ys + 4 * cell);
    let low: f64 = NaN;
    let high: f64 = NaN;
    const inside = x >= 0 && y >= 0 && x <= columns - 1 && y <= rows - 1;
    if (inside && valueAt(share, columns, rows, x, y) >= least) {
      low = Infinity;
      high = 0;
      for (let j = -1; j <= 1; j++) {
        for (let i = -1; i <= 1; i++) {
          const value = valueAt(light, columns, rows, x + i * slack, y + j * slack);
          if (value > high) high = value;
          if (value < low) low = value;
        }
      }
    }
    store<f64>(ranges + 16 * k, low);
    store<f64>(ranges + 16 * k, high, 8);
  }
}
