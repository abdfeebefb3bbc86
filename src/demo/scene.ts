import { bakeLight, type Lamp } from "./light.js";
import { type Grid, gridNormals } from "./patch.js";
import type { Texture } from "./texture.js";
import { apply, rotationAbout, type Vector3 } from "./vector.js";

/** One surface of the scene. */
export interface Part {
  readonly grid: Grid;
  /** Paints the texture; put off until a picture is drawn, since plans need the shape only. */
  readonly paint: () => Texture;
  /** Part of the prop being photographed. */
  readonly subject: boolean;
  /** Throws shadows on the prop and the table. */
  readonly casts: boolean;
  /** Contrast of the detail finer than the texture, natural log of reflectance. */
  readonly detail: number;
  /** Mirror reflectance at right angles, 0 (matt) to 1. */
  readonly gloss: number;
  /** Linear level, 1 = white, at which white parts of the surface glow whatever the light; absent: it does not. */
  readonly glow?: number;
}

/** What every part's look-up needs, by part. */
export interface Surface {
  readonly texture: Texture;
  readonly subject: boolean;
  readonly detail: number;
  readonly gloss: number;
}

/** All parts as one mesh with its light: nothing in it depends on a camera. */
export interface Scene {
  readonly surfaces: readonly Surface[];
  /** 3 numbers a vertex, metres. */
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  /** 2 numbers a vertex. */
  readonly uvs: Float32Array;
  /** Diffuse light that reaches each vertex, red, green, blue. */
  readonly light: Float32Array;
  /** Share of each lamp that each vertex sees, 0 to 1: vertex i, lamp k at i * lamps + k. */
  readonly lampShare: Float32Array;
  /** 3 vertices a triangle, outside by the right-hand rule. */
  readonly indices: Uint32Array;
  /** Which surface each triangle belongs to. */
  readonly surfaceOf: Uint16Array;
  readonly lamps: readonly Lamp[];
  /** Middle of the subject and the radius of the ball that holds it, metres. */
  readonly subjectCentre: Vector3;
  readonly subjectRadiusM: number;
  /** Linear radiance is multiplied by this, so that the subject is well exposed. */
  readonly exposure: number;
}

/** Grids put together. */
export interface Mesh {
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  readonly uvs: Float32Array;
  readonly indices: Uint32Array;
  readonly surfaceOf: Uint16Array;
  /** Triangles of parts that cast shadows come first. */
  readonly castingTriangles: number;
}

export function mergeGrids(parts: readonly Part[]): Mesh {
  let vertices = 0;
  let triangles = 0;
  for (const { grid } of parts) {
    vertices += grid.columns * grid.rows;
    triangles += 2 * (grid.columns - 1) * (grid.rows - 1);
  }
  const positions = new Float32Array(3 * vertices);
  const normals = new Float32Array(3 * vertices);
  const uvs = new Float32Array(2 * vertices);
  const indices = new Uint32Array(3 * triangles);
  const surfaceOf = new Uint16Array(triangles);
  let vertex = 0;
  let triangle = 0;
  let castingTriangles = 0;
  parts.forEach(({ grid, casts }, surface) => {
    const { columns, rows } = grid;
    positions.set(grid.positions, 3 * vertex);
    normals.set(gridNormals(grid), 3 * vertex);
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        const i = vertex + row * columns + column;
        uvs[2 * i] = column / (columns - 1);
        uvs[2 * i + 1] = row / (rows - 1);
        if (row === rows - 1 || column === columns - 1) continue;
        indices.set([i, i + 1, i + columns + 1, i, i + columns + 1, i + columns], 3 * triangle);
        surfaceOf[triangle] = surface;
        surfaceOf[triangle + 1] = surface;
        triangle += 2;
      }
    }
    vertex += columns * rows;
    if (casts) castingTriangles = triangle;
  });
  return { positions, normals, uvs, indices, surfaceOf, castingTriangles };
}

/** A part turned about the z axis, anticlockwise seen from above, radians. */
export function turnPart(part: Part, angle: number): Part {
  const rotation = rotationAbout("z", angle);
  const positions = new Float32Array(part.grid.positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const { positions: p } = part.grid;
    positions.set(apply(rotation, [p[i], p[i + 1], p[i + 2]]), i);
  }
  return { ...part, grid: { ...part.grid, positions } };
}

/** The ball around the subject's bounding box. */
export function subjectBall(parts: readonly Part[]): { centre: Vector3; radius: number } {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const subject = parts.filter((part) => part.subject);
  for (const { grid } of subject) {
    for (let i = 0; i < grid.positions.length; i++) {
      low[i % 3] = Math.min(low[i % 3], grid.positions[i]);
      high[i % 3] = Math.max(high[i % 3], grid.positions[i]);
    }
  }
  const centre: Vector3 = [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2];
  let radius = 0;
  for (const { grid } of subject) {
    for (let i = 0; i < grid.positions.length; i += 3) {
      radius = Math.max(
        radius,
        Math.hypot(
          grid.positions[i] - centre[0],
          grid.positions[i + 1] - centre[1],
          grid.positions[i + 2] - centre[2],
        ),
      );
    }
  }
  return { centre, radius };
}

/** Mean linear reflectance of a texture, from its smallest copy. */
function meanReflectance(texture: Texture): number {
  const from = texture.offsets[texture.levels - 1];
  let sum = 0;
  for (let i = from; i < texture.data.length; i++) sum += (texture.data[i] / 255) ** 2;
  return sum / (texture.data.length - from);
}

/** Linear levels, 1 = white, that the brighter parts of the prop and of the table may reach: a stop under clipping. */
const subjectHighlight = 0.5;
const tableHighlight = 0.4;

/** 90th percentile of the radiance of some parts, by the mean colour of each. */
function brightRadiance(
  parts: readonly Part[],
  textures: readonly Texture[],
  light: Float32Array,
  wanted: (part: Part) => boolean,
): number {
  const radiance: number[] = [];
  let vertex = 0;
  for (const [i, part] of parts.entries()) {
    const count = part.grid.columns * part.grid.rows;
    if (wanted(part)) {
      const mean = meanReflectance(textures[i]);
      // A face of few vertices says as much about the whole as one of many: strides even them out.
      for (let k = 0; k < count; k += Math.max(1, count >> 9)) {
        const at = 3 * (vertex + k);
        radiance.push(mean * (0.2126 * light[at] + 0.7152 * light[at + 1] + 0.0722 * light[at + 2]));
      }
    }
    vertex += count;
  }
  radiance.sort((a, b) => a - b);
  return Math.max(1e-6, radiance[Math.floor(0.9 * radiance.length)] ?? 0);
}

/** Meters as a careful photographer does: for the prop, but not so that the table around it burns out. */
function exposureFor(parts: readonly Part[], textures: readonly Texture[], light: Float32Array): number {
  const subject = brightRadiance(parts, textures, light, (part) => part.subject);
  const table = brightRadiance(parts, textures, light, (part) => part.casts && !part.subject);
  return Math.min(subjectHighlight / subject, tableHighlight / table);
}

/** Replaces the light on glowing parts by what makes white come out at their level after exposure. */
function setGlow(parts: readonly Part[], light: Float32Array, exposure: number): void {
  let vertex = 0;
  for (const { grid, glow } of parts) {
    const end = vertex + grid.columns * grid.rows;
    if (glow !== undefined) light.fill(glow / exposure, 3 * vertex, 3 * end);
    vertex = end;
  }
}

/** Puts parts and lamps together and works out the light. Parts that cast shadows must come first. */
export function assembleScene(parts: readonly Part[], lamps: readonly Lamp[], ambient: Vector3): Scene {
  const mesh = mergeGrids(parts);
  const ball = subjectBall(parts);
  const textures = parts.map((part) => part.paint());
  const { light, lampShare } = bakeLight(mesh, lamps, ambient, ball.centre);
  const exposure = exposureFor(parts, textures, light);
  setGlow(parts, light, exposure);
  return {
    surfaces: parts.map(({ subject, detail, gloss }, i) => ({
      texture: textures[i],
      subject,
      detail,
      gloss,
    })),
    positions: mesh.positions,
    normals: mesh.normals,
    uvs: mesh.uvs,
    light,
    lampShare,
    indices: mesh.indices,
    surfaceOf: mesh.surfaceOf,
    lamps,
    subjectCentre: ball.centre,
    subjectRadiusM: ball.radius,
    exposure,
  };
}
