import { readFileSync } from "node:fs";

/** An address in the kernels' memory. */
export type Address = number;

type WeighRow = (from: Address, n: number, share: number, sums: Address, more: number) => void;

type AverageRow = (
  sums: Address,
  starts: Address,
  weights: Address,
  stride: number,
  pairs: number,
  n: number,
  total: number,
  out: Address,
) => void;

/** @returns their sum, each at most `limit`; Infinity as soon as it is `giveUpAt` */
type ErrorsOf = (
  matches: Address,
  count: number,
  matrix: Address,
  limit: number,
  giveUpAt: number,
  residuals: Address,
) => number;

/** What assembly/ exports; each function is documented there. Numbers are addresses where the name says a thing. */
export interface Kernels {
  readonly memory: WebAssembly.Memory;
  blurRow(
    source: Address,
    width: number,
    height: number,
    y: number,
    weights: Address,
    radius: number,
    scratch: Address,
    out: Address,
  ): void;
  halveRow(source: Address, n: number, out: Address): void;
  greyRow(source: Address, n: number, out: Address): void;
  lumaRow(rgb: Address, luma: Address, width: number): void;
  exactLumaRow(rgb: Address, luma: Address, exact: Address, width: number): void;
  countRow(
    rgb: Address,
    edges: Address,
    tiles: number,
    clipped: number,
    near: number,
    blocked: number,
    counts: Address,
  ): void;
  laplacianRow(
    above: Address,
    here: Address,
    below: Address,
    edges: Address,
    tiles: number,
    sums: Address,
  ): void;
  readonly weighRow: WeighRow;
  readonly weighWideRow: WeighRow;
  readonly averageRgbRow: AverageRow;
  readonly averageGreyRow: AverageRow;
  averageWideRow(
    sums: Address,
    spans: Address,
    n: number,
    channels: number,
    whole: number,
    rounding: number,
    inverse: number,
    out: Address,
  ): void;
  fillCellRow(
    rgb: Address,
    stride: number,
    columns: number,
    shares: Address,
    clipped: number,
    blocked: number,
    cells: Address,
  ): void;
  sumCells(cells: Address, columns: number, rows: number, stride: number, out: Address): void;
  brightestCell(
    cells: Address,
    columns: number,
    rows: number,
    stride: number,
    red: number,
    green: number,
    blue: number,
  ): number;
  fineRow(sharp: Address, soft: Address, columns: number, cells: Address): void;
  halfRow(upper: Address, lower: Address, n: number, out: Address): void;
  midRow(half: Address, softer: Address, columns: number, cells: Address): void;
  slopeRow(upper: Address, lower: Address, n: number, out: Address): void;
  edgeRow(
    above: Address,
    here: Address,
    below: Address,
    softUpper: Address,
    softLower: Address,
    crisp: Address,
    stride: number,
    first: number,
    end: number,
    apart: number,
    own: number,
    diagonal: number,
    unit: number,
    counts: Address,
  ): void;
  findExtrema(
    a: Address,
    b: Address,
    c: Address,
    d: Address,
    width: number,
    y: number,
    border: number,
    floor: number,
    found: Address,
    capacity: number,
  ): number;
  dominantDirections(
    image: Address,
    width: number,
    height: number,
    x: number,
    y: number,
    spacing: number,
    window: Address,
    blocks: number,
    secondPeak: number,
    out: Address,
  ): number;
  describe(
    image: Address,
    width: number,
    height: number,
    x: number,
    y: number,
    ux: number,
    uy: number,
    weights: Address,
    neighbours: Address,
    bright: number,
    out: Address,
  ): void;
  eliminatePoints(
    points: number,
    start: Address,
    rows: Address,
    w: Address,
    plane: number,
    inverse: Address,
    bp: Address,
    h: Address,
    b: Address,
    size: number,
    shared: number,
  ): void;
  /** @returns how many */
  fivePoint(matches: Address, out: Address): number;
  /** @returns how many */
  realRoots(coefficients: Address, degree: number, bound: number, roots: Address): number;
  normalise(points: Address, count: number, out: Address): void;
  addProducts(
    from: Address,
    fromNormal: Address,
    to: Address,
    toNormal: Address,
    weights: Address,
    count: number,
    sums: Address,
  ): void;
  /** @returns 1 where a better model was found, or 0 */
  sampleModels(
    size: number,
    matches: Address,
    count: number,
    sift: Address,
    siftCount: number,
    pool: Address,
    poolSize: number,
    limit: number,
    residuals: Address,
    search: Address,
  ): number;
  readonly transferErrors: ErrorsOf;
  readonly sampsonErrors: ErrorsOf;
  sampsonDistances(matches: Address, count: number, e: Address, out: Address): void;
  truncatedCost(matches: Address, count: number, e: Address, limit: number, giveUpAt: number): number;
  addMotionEquations(
    matches: Address,
    count: number,
    motion: Address,
    square: number,
    row: Address,
    out: Address,
  ): number;
  addNormals(matches: Address, count: number, motion: Address, square: number, out: Address): void;
  /** @returns 1, or 0 */
  factorise(matrix: Address, first: Address, size: number): number;
  weighCells(
    columns: number,
    rows: number,
    right: Address,
    below: Address,
    observation: Address,
    diagonal: Address,
    rightHandSide: Address,
  ): void;
  spreadCells(
    columns: number,
    rows: number,
    diagonal: Address,
    right: Address,
    below: Address,
    rightHandSide: Address,
    x: Address,
    residual: Address,
    direction: Address,
    product: Address,
    steps: number,
    enough: number,
  ): void;
  interleave(words: Address, count: number, out: Address): void;
  nearest(
    rows: Address,
    countA: number,
    blocks: Address,
    spans: Address,
    far: number,
    rowBest: Address,
    rowNear: Address,
    rowNext: Address,
    columnBest: Address,
    columnNear: Address,
    columnNext: Address,
  ): void;
  followBlocks(
    matches: Address,
    end: Address,
    blocks: Address,
    count: number,
    side: number,
    columns: number,
    rows: number,
    longB: number,
    xs: Address,
    ys: Address,
  ): void;
  lightAround(
    cells: Address,
    count: number,
    xs: Address,
    ys: Address,
    light: Address,
    share: Address,
    columns: number,
    rows: number,
    least: number,
    slack: number,
    ranges: Address,
  ): void;
  addVotes(
    view: Address,
    probabilities: Address,
    middles: Address,
    count: number,
    seenThrough: number,
    covered: number,
    odds: Address,
    seen: Address,
  ): void;
  countKeys(descriptors: Address, count: number, picked: Address, counts: Address): void;
  startKeys(counts: Address, keys: number): void;
  placePhoto(
    descriptors: Address,
    count: number,
    picked: Address,
    photo: number,
    next: Address,
    sorted: Address,
  ): void;
  countVotes(
    sorted: Address,
    ends: Address,
    keys: number,
    most: number,
    first: number,
    rows: number,
    photos: number,
    votes: Address,
  ): void;
}

let compiled: WebAssembly.Module | undefined;
let instance: Kernels | undefined;

/** The compiled kernels: compiled on first use, or handed over by the thread that started this one. */
export function kernelModule(): WebAssembly.Module {
  compiled ??= new WebAssembly.Module(readFileSync(new URL("./kernels.wasm", import.meta.url)));
  return compiled;
}

/** Takes the module that another thread compiled; call it before anything is measured. */
export function useKernelModule(module: WebAssembly.Module): void {
  compiled = module;
}

/** This thread's kernels and their memory. */
export function kernels(): Kernels {
  if (instance === undefined) {
    const { exports } = new WebAssembly.Instance(kernelModule());
    (exports.initialize as () => void)();
    instance = exports as unknown as Kernels;
  }
  return instance;
}
