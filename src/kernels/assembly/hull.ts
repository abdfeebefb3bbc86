/** Votes of views for the voxels of a place: see measure/subject/hull.ts. */

/**
 * Adds one view's vote on every voxel that it has in its frame.
 *
 * @param view 19 f64: rotation, world to camera, row by row; centre; focal length, and the principal point, px; cells
 *   along and width in px; cells down and height in px
 * @param probabilities f32 a cell: chance that it shows the subject
 * @param middles three f64 a voxel
 * @param seenThrough what a view that surely sees through a voxel adds to its odds; one that sees the subject adds `covered`
 * @param odds f64 a voxel, added to
 * @param seen u8 a voxel: how many views have it in their frame
 */
export function addVotes(
  view: usize,
  probabilities: usize,
  middles: usize,
  count: i32,
  seenThrough: f64,
  covered: f64,
  odds: usize,
  seen: usize,
): void {
  const focal = load<f64>(view, 96);
  const columns = load<f64>(view, 120);
  const rows = load<f64>(view, 136);
  for (let k = 0; k < count; k++) {
    const middle = middles + 24 * k;
    const x = load<f64>(middle) - load<f64>(view, 72);
    const y = load<f64>(middle, 8) - load<f64>(view, 80);
    const z = load<f64>(middle, 16) - load<f64>(view, 88);
    const depth = load<f64>(view, 48) * x + load<f64>(view, 56) * y + load<f64>(view, 64) * z;
    if (!(depth > 0)) continue;
    const across = load<f64>(view) * x + load<f64>(view, 8) * y + load<f64>(view, 16) * z;
    const down = load<f64>(view, 24) * x + load<f64>(view, 32) * y + load<f64>(view, 40) * z;
    const u = load<f64>(view, 104) + (focal * across) / depth;
    const v = load<f64>(view, 112) + (focal * down) / depth;
    const column = ((u + 0.5) * columns) / load<f64>(view, 128);
    const row = ((v + 0.5) * rows) / load<f64>(view, 144);
    if (!(column >= 0 && row >= 0 && column < columns && row < rows)) continue;
    const cell = <i32>row * <i32>columns + <i32>column;
    const lean = 2 * <f64>load<f32>(probabilities + 4 * cell) - 1;
    store<u8>(seen + k, load<u8>(seen + k) + 1);
    store<f64>(odds + 8 * k, load<f64>(odds + 8 * k) + (lean < 0 ? -lean * seenThrough : lean * covered));
  }
}
