import type { Camera } from "./camera.js";

/** Vertices as a camera sees them: sample coordinates and 1 / depth, which is 0 for what lies behind. */
export interface Projected {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly inverseDepth: Float64Array;
}

/** Nearer than this, in metres, counts as behind the camera. */
const nearM = 0.02;

/** Triangles wider than this are drawn row by row from edge to edge; for smaller ones their box is cheaper. */
const wideSamples = 12;

/**
 * Projects vertices to a grid of `factor` x `factor` samples a pixel: sample (i, j) lies at pixel
 * ((i + 0.5) / factor - 0.5, ...).
 */
export function projectVertices(positions: Float32Array, camera: Camera, factor: number): Projected {
  const count = positions.length / 3;
  const x = new Float64Array(count);
  const y = new Float64Array(count);
  const inverseDepth = new Float64Array(count);
  const [r0, r1, r2, r3, r4, r5, r6, r7, r8] = camera.rotation;
  const [cx, cy, cz] = camera.centre;
  const focal = camera.focalPx * factor;
  const midX = (camera.widthPx * factor - 1) / 2;
  const midY = (camera.heightPx * factor - 1) / 2;
  for (let i = 0; i < count; i++) {
    const px = positions[3 * i] - cx;
    const py = positions[3 * i + 1] - cy;
    const pz = positions[3 * i + 2] - cz;
    const depth = r6 * px + r7 * py + r8 * pz;
    if (depth < nearM) continue;
    const inverse = 1 / depth;
    inverseDepth[i] = inverse;
    x[i] = midX + focal * (r0 * px + r1 * py + r2 * pz) * inverse;
    y[i] = midY + focal * (r3 * px + r4 * py + r5 * pz) * inverse;
  }
  return { x, y, inverseDepth };
}

/** Which triangle each sample sees (-1: none) and at what 1 / depth, for rows firstRow to firstRow + height - 1. */
export interface Visibility {
  readonly width: number;
  readonly height: number;
  firstRow: number;
  readonly triangle: Int32Array;
  readonly inverseDepth: Float32Array;
}

export function createVisibility(width: number, height: number): Visibility {
  return {
    width,
    height,
    firstRow: 0,
    triangle: new Int32Array(width * height),
    inverseDepth: new Float32Array(width * height),
  };
}

/**
 * Draws triangles with a depth buffer. Triangles turned away from the camera, or touching the plane behind it, are
 * left out: the scene is closed, and its triangles near the camera plane are far outside the picture.
 *
 * @param from,to triangles to draw.
 */
export function rasterise(
  indices: Uint32Array,
  from: number,
  to: number,
  projected: Projected,
  into: Visibility,
): void {
  const { x, y, inverseDepth } = projected;
  const { width, height, firstRow, triangle, inverseDepth: nearest } = into;
  const lastRow = firstRow + height - 1;
  for (let t = from; t < to; t++) {
    const a = indices[3 * t];
    const b = indices[3 * t + 1];
    const c = indices[3 * t + 2];
    const wa = inverseDepth[a];
    const wb = inverseDepth[b];
    const wc = inverseDepth[c];
    if (wa === 0 || wb === 0 || wc === 0) continue;
    const ya = y[a];
    const yb = y[b];
    const yc = y[c];
    let top = Math.min(ya, yb);
    if (yc < top) top = yc;
    let bottom = Math.max(ya, yb);
    if (yc > bottom) bottom = yc;
    if (bottom < firstRow || top > lastRow) continue;
    const xa = x[a];
    const xb = x[b];
    const xc = x[c];
    const area = (xb - xa) * (yc - ya) - (yb - ya) * (xc - xa);
    // y runs down, so a triangle that faces the camera has negative area.
    if (area >= -1e-9) continue;
    let left = Math.min(xa, xb);
    if (xc < left) left = xc;
    let right = Math.max(xa, xb);
    if (xc > right) right = xc;
    if (right < 0 || left > width - 1) continue;
    const x0 = left <= 0 ? 0 : Math.ceil(left);
    const x1 = right >= width - 1 ? width - 1 : Math.floor(right);
    const y0 = top <= firstRow ? firstRow : Math.ceil(top);
    const y1 = bottom >= lastRow ? lastRow : Math.floor(bottom);
    if (x0 > x1 || y0 > y1) continue;
    const inverseArea = 1 / area;
    // Barycentric weights of b and c, linear in the sample's position.
    const bx = (yc - ya) * inverseArea;
    const by = (xa - xc) * inverseArea;
    const cx = (ya - yb) * inverseArea;
    const cy = (xb - xa) * inverseArea;
    const wx = bx * (wb - wa) + cx * (wc - wa);
    const wide = x1 - x0 > wideSamples;
    for (let row = y0; row <= y1; row++) {
      const dy = row - ya;
      let first = x0;
      let last = x1;
      if (wide) {
        // Where the row enters and leaves the triangle, a sample to spare on each side: the test inside decides.
        let enter = x0 - xa;
        let leave = x1 - xa;
        const startB = -by * dy;
        const startC = -cy * dy;
        const startA = 1 - by * dy - cy * dy;
        if (bx > 0) enter = Math.max(enter, startB / bx);
        else if (bx < 0) leave = Math.min(leave, startB / bx);
        if (cx > 0) enter = Math.max(enter, startC / cx);
        else if (cx < 0) leave = Math.min(leave, startC / cx);
        const ax = bx + cx;
        if (ax > 0) leave = Math.min(leave, startA / ax);
        else if (ax < 0) enter = Math.max(enter, startA / ax);
        first = Math.max(x0, Math.floor(enter + xa) - 1);
        last = Math.min(x1, Math.ceil(leave + xa) + 1);
      }
      let weightB = bx * (first - xa) + by * dy;
      let weightC = cx * (first - xa) + cy * dy;
      let w = wa + weightB * (wb - wa) + weightC * (wc - wa);
      let at = (row - firstRow) * width + first;
      for (let column = first; column <= last; column++) {
        if (weightB >= 0 && weightC >= 0 && weightB + weightC <= 1 && w > nearest[at]) {
          nearest[at] = w;
          triangle[at] = t;
        }
        weightB += bx;
        weightC += cx;
        w += wx;
        at++;
      }
    }
  }
}
