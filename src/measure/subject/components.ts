import { ON_SUBJECT } from "./cover.js";

/** Pieces smaller than this share of the largest are specks, not parts of the subject that something hides the joint of. */
const LEAST_PIECE = 0.1;
/** What a speck's cells are set to: just not the subject. */
const NOT_QUITE = 0.49;

/** Takes specks out of a region: pieces (joined by their sides) of under a tenth of the largest. Changes `share`. */
export function dropSpecks(share: Float32Array, columns: number, rows: number): void {
  const piece = new Int32Array(share.length).fill(-1);
  const sizes: number[] = [];
  const queue = new Int32Array(share.length);
  for (let start = 0; start < share.length; start++) {
    if (share[start] < ON_SUBJECT || piece[start] >= 0) continue;
    const own = sizes.length;
    let end = 1;
    queue[0] = start;
    piece[start] = own;
    for (let k = 0; k < end; k++) {
      const cell = queue[k];
      const column = cell % columns;
      const next = [
        column > 0 ? cell - 1 : -1,
        column < columns - 1 ? cell + 1 : -1,
        cell - columns,
        cell < columns * (rows - 1) ? cell + columns : -1,
      ];
      for (const other of next) {
        if (other < 0 || share[other] < ON_SUBJECT || piece[other] >= 0) continue;
        piece[other] = own;
        queue[end++] = other;
      }
    }
    sizes.push(end);
  }
  const least = LEAST_PIECE * Math.max(0, ...sizes);
  for (let i = 0; i < share.length; i++) if (piece[i] >= 0 && sizes[piece[i]] < least) share[i] = NOT_QUITE;
}
