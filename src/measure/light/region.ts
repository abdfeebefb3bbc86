import { innerCells, ON_SUBJECT } from "../subject/cover.js";

/** Where the subject is in a photo, on the grid of the photo's cells. */
export interface Region {
  readonly columns: number;
  readonly rows: number;
  /** Share of each cell that the subject fills, 0 to 1, row-major. */
  readonly share: ArrayLike<number>;
}

/** Cells that count as the subject's, ascending. */
export function cellsOf({ share }: Region): number[] {
  const cells: number[] = [];
  for (let i = 0; i < share.length; i++) if (share[i] >= ON_SUBJECT) cells.push(i);
  return cells;
}

/** How many cells count as the subject's. */
function sizeOf({ share }: Region): number {
  let size = 0;
  for (let i = 0; i < share.length; i++) if (share[i] >= ON_SUBJECT) size++;
  return size;
}

/** Share from which a cell surely shows the subject. */
const SURE_SHARE = 0.8;

/**
 * The part of a region that surely shows the subject: the table below it is lit from all sides alike, which would hide
 * the subject's dark one, and does not move as the subject does. The whole region where too little of it is sure.
 */
export function sureOf(region: Region): Region {
  const { columns, rows, share } = region;
  const kept = new Float32Array(share.length);
  for (let i = 0; i < kept.length; i++) if (share[i] >= SURE_SHARE) kept[i] = share[i];
  const sure = { columns, rows, share: kept };
  return sizeOf(sure) < LEAST_LEFT * sizeOf(region) ? region : sure;
}

/** Cells taken off the rim: there the surface is seen at a grazing angle, over what lies behind. */
const RIM = 2;
/** Share of a region that must be left of it: a thin subject is all rim. */
const LEAST_LEFT = 0.35;

/** A region without its rim: cells whose neighbours out to RIM belong to it too, as far as enough of it is left. */
export function innerOf(region: Region): Region {
  const least = LEAST_LEFT * sizeOf(region);
  let inner = region;
  for (let k = 0; k < RIM; k++) {
    const next = withoutRim(inner);
    if (sizeOf(next) < least) break;
    inner = next;
  }
  return inner;
}

function withoutRim({ columns, rows, share }: Region): Region {
  const out = new Float32Array(share.length);
  for (const cell of innerCells(columns, rows, (i) => share[i] >= ON_SUBJECT)) out[cell] = share[cell];
  return { columns, rows, share: out };
}
