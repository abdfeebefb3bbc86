import { cross, normalise, subtract, type Vector3 } from "./vector.js";

/** A grid of points over a surface; u runs along columns, v along rows, the outside is where du x dv points. */
export interface Grid {
  readonly columns: number;
  readonly rows: number;
  /** Row-major, 3 numbers a point, metres. */
  readonly positions: Float32Array;
  /** The last column lies on the first: the surface runs round. */
  readonly closed: boolean;
}

/** Evaluates a surface over (u, v) in [0, 1]^2. */
export function gridFrom(
  columns: number,
  rows: number,
  closed: boolean,
  surface: (u: number, v: number) => Vector3,
): Grid {
  const positions = new Float32Array(3 * columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      // The seam is evaluated once, so that both ends agree to the last bit.
      const u = closed && column === columns - 1 ? 0 : column / (columns - 1);
      positions.set(surface(u, row / (rows - 1)), 3 * (row * columns + column));
    }
  }
  return { columns, rows, positions, closed };
}

/** A flat or bulging face: corner plus u times one side plus v times the other. */
export function faceGrid(
  corner: Vector3,
  alongU: Vector3,
  alongV: Vector3,
  columns = 2,
  rows = 2,
  bulge: (u: number, v: number) => number = () => 0,
): Grid {
  const out = normalise(cross(alongU, alongV));
  return gridFrom(columns, rows, false, (u, v) => {
    const lift = bulge(u, v);
    return [
      corner[0] + u * alongU[0] + v * alongV[0] + lift * out[0],
      corner[1] + u * alongU[1] + v * alongV[1] + lift * out[1],
      corner[2] + u * alongU[2] + v * alongV[2] + lift * out[2],
    ];
  });
}

/** The six faces of a box, outside outward; the sides first, then top, then bottom. */
export function boxFaces(low: Vector3, high: Vector3): readonly (readonly [Vector3, Vector3, Vector3])[] {
  const [x0, y0, z0] = low;
  const [x1, y1, z1] = high;
  const dx: Vector3 = [x1 - x0, 0, 0];
  const dy: Vector3 = [0, y1 - y0, 0];
  const dz: Vector3 = [0, 0, z1 - z0];
  const negative = (v: Vector3): Vector3 => [-v[0], -v[1], -v[2]];
  return [
    [[x0, y0, z0], dx, dz],
    [[x1, y0, z0], dy, dz],
    [[x1, y1, z0], negative(dx), dz],
    [[x0, y1, z0], negative(dy), dz],
    [[x0, y0, z1], dx, dy],
    [[x0, y1, z0], dx, negative(dy)],
  ];
}

/** A smooth curve through control points at t in [0, 1], evenly spread over them (Catmull & Rom 1974). */
function curveThrough(points: readonly (readonly number[])[], t: number): number[] {
  const spans = points.length - 1;
  const span = Math.min(spans - 1, Math.floor(t * spans));
  const f = t * spans - span;
  const p1 = points[span];
  const p2 = points[span + 1];
  const p0 = points[span - 1] ?? p1.map((value, i) => 2 * value - p2[i]);
  const p3 = points[span + 2] ?? p2.map((value, i) => 2 * value - p1[i]);
  return p1.map(
    (value, i) =>
      value +
      0.5 *
        f *
        (p2[i] -
          p0[i] +
          f * (2 * p0[i] - 5 * value + 4 * p2[i] - p3[i] + f * (3 * (value - p2[i]) + p3[i] - p0[i]))),
  );
}

/** A profile of [radius, height] points turned about the z axis; `push` moves the wall outward, metres. */
export function latheGrid(
  profile: readonly (readonly [number, number])[],
  columns: number,
  rows: number,
  push: (angle: number, height: number, v: number) => number = () => 0,
): Grid {
  return gridFrom(columns, rows, true, (u, v) => {
    const [radius, height] = curveThrough(profile, v);
    const angle = 2 * Math.PI * u;
    const r = Math.max(0.0005, radius + push(angle, height, v));
    return [r * Math.cos(angle), r * Math.sin(angle), height];
  });
}

/** A tube of half-widths `wide` and `thick` along a curve in the plane that holds the z axis and direction `angle`. */
export function tubeGrid(
  path: readonly (readonly [number, number])[],
  angle: number,
  wide: number,
  thick: number,
  columns: number,
  rows: number,
): Grid {
  const at = (v: number): Vector3 => {
    const [out, height] = curveThrough(path, v);
    return [out * Math.cos(angle), out * Math.sin(angle), height];
  };
  const side: Vector3 = [-Math.sin(angle), Math.cos(angle), 0];
  return gridFrom(columns, rows, true, (u, v) => {
    const along = normalise(subtract(at(Math.min(1, v + 1e-3)), at(Math.max(0, v - 1e-3))));
    const other = cross(along, side);
    const c = wide * Math.cos(2 * Math.PI * u);
    const s = thick * Math.sin(2 * Math.PI * u);
    const [x, y, z] = at(v);
    return [x + side[0] * c + other[0] * s, y + side[1] * c + other[1] * s, z + side[2] * c + other[2] * s];
  });
}

/**
 * An ellipsoid whose poles lie on the x axis, each point pushed along its own ray by a share of the distance.
 */
export function ellipsoidGrid(
  centre: Vector3,
  half: Vector3,
  columns: number,
  rows: number,
  push: (direction: Vector3) => number = () => 0,
): Grid {
  return gridFrom(columns, rows, true, (u, v) => {
    const along = -Math.cos(Math.PI * (0.002 + 0.996 * v));
    const ring = Math.sqrt(1 - along * along);
    const angle = 2 * Math.PI * u;
    const direction: Vector3 = [along, ring * Math.cos(angle), ring * Math.sin(angle)];
    const stretch = 1 + push(direction);
    return [
      centre[0] + half[0] * direction[0] * stretch,
      centre[1] + half[1] * direction[1] * stretch,
      centre[2] + half[2] * direction[2] * stretch,
    ];
  });
}

/** Unit normals of a grid by central differences, 3 numbers a point. */
export function gridNormals(grid: Grid): Float32Array {
  const { columns, rows, positions, closed } = grid;
  const normals = new Float32Array(positions.length);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      let west = column - 1;
      let east = column + 1;
      if (closed) {
        if (west < 0) west = columns - 2;
        if (east >= columns) east = 1;
      } else {
        west = Math.max(0, west);
        east = Math.min(columns - 1, east);
      }
      const south = Math.max(0, row - 1);
      const north = Math.min(rows - 1, row + 1);
      const e = 3 * (row * columns + east);
      const w = 3 * (row * columns + west);
      const n = 3 * (north * columns + column);
      const s = 3 * (south * columns + column);
      const ux = positions[e] - positions[w];
      const uy = positions[e + 1] - positions[w + 1];
      const uz = positions[e + 2] - positions[w + 2];
      const vx = positions[n] - positions[s];
      const vy = positions[n + 1] - positions[s + 1];
      const vz = positions[n + 2] - positions[s + 2];
      const nx = uy * vz - uz * vy;
      const ny = uz * vx - ux * vz;
      const nz = ux * vy - uy * vx;
      const size = Math.hypot(nx, ny, nz) || 1;
      normals.set([nx / size, ny / size, nz / size], 3 * (row * columns + column));
    }
  }
  return normals;
}
