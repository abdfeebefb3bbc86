import type { Camera } from "./camera.js";
import { createVisibility, projectVertices, rasterise } from "./raster.js";
import { type Mesh, mergeGrids, type Part } from "./scene.js";

/** How the prop's outline lies to the frame. */
export interface Outline {
  /** Share of the outline's area beyond the frame's edges, 0 to 1. */
  readonly cutRatio: number;
  /** Outline's area, what lies beyond the frame included, as a share of the frame's. */
  readonly areaRatio: number;
  /** Longest side of the box around the whole outline over the frame's short side. */
  readonly sideRatio: number;
}

/** Long edge of the frame at which outlines are drawn, px; around it lies as much again on every side. */
const longEdgePx = 240;

/** The prop's parts as one mesh, made once for many outlines. */
export function subjectMesh(parts: readonly Part[]): Mesh {
  return mergeGrids(parts.filter((part) => part.subject));
}

/** Draws the prop alone, on a field three times the frame. */
export function outlineOf(mesh: Mesh, camera: Camera): Outline {
  const scale = longEdgePx / Math.max(camera.widthPx, camera.heightPx);
  const width = Math.round(camera.widthPx * scale);
  const height = Math.round(camera.heightPx * scale);
  const field = createVisibility(3 * width, 3 * height);
  field.triangle.fill(-1);
  const wide: Camera = {
    ...camera,
    widthPx: 3 * width,
    heightPx: 3 * height,
    focalPx: camera.focalPx * scale,
  };
  rasterise(mesh.indices, 0, mesh.surfaceOf.length, projectVertices(mesh.positions, wide, 1), field);
  let inside = 0;
  let all = 0;
  let left = field.width;
  let right = -1;
  let top = field.height;
  let bottom = -1;
  for (let y = 0, i = 0; y < field.height; y++) {
    const inRows = y >= height && y < 2 * height;
    for (let x = 0; x < field.width; x++, i++) {
      if (field.triangle[i] < 0) continue;
      all++;
      if (inRows && x >= width && x < 2 * width) inside++;
      if (x < left) left = x;
      if (x > right) right = x;
      if (y < top) top = y;
      bottom = y;
    }
  }
  return {
    cutRatio: all === 0 ? 0 : 1 - inside / all,
    areaRatio: all / (width * height),
    sideRatio: all === 0 ? 0 : Math.max(right - left + 1, bottom - top + 1) / Math.min(width, height),
  };
}
