import type { Camera } from "./camera.js";
import { lookAt } from "./camera.js";
import { createVisibility, projectVertices, rasterise, type Visibility } from "./raster.js";
import { add, cross, normalise, scale, subtract, type Vector3 } from "./vector.js";

/** A lamp: a glowing disc turned to the subject. */
export interface Lamp {
  /** Metres, world. */
  readonly position: Vector3;
  /** Radius of the disc, metres: larger is softer. */
  readonly radiusM: number;
  /** Light it throws on a surface 1 m away that faces it. */
  readonly strength: number;
  /** Red, green, blue. */
  readonly colour: Vector3;
}

interface Casters {
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  readonly indices: Uint32Array;
  readonly castingTriangles: number;
}

const mapSize = 640;
const samplesPerLamp = 9;
/** Shadow rays to the ambient dome. */
const domeDirections = 30;
/** Depth by which a point must lie behind the map's surface to be in shadow, as a share of the distance. */
const shadowSlack = 0.004;
/** Points are lifted off their surface by this before the look-up, metres, so that they do not shade themselves. */
const liftM = 0.003;

/**
 * Whether each vertex sees `from`, by a depth map looking at `target`. Adds `weight` to `seen` where it does; what
 * lies outside the map counts as lit.
 */
function addVisibility(
  mesh: Casters,
  from: Vector3,
  target: Vector3,
  halfWidthM: number,
  map: Visibility,
  weight: number,
  seen: Float32Array,
  stride: number,
  offset: number,
): void {
  const distance = Math.hypot(...subtract(from, target));
  const camera: Camera = {
    widthPx: mapSize,
    heightPx: mapSize,
    focalPx: (mapSize / 2) * (distance / halfWidthM),
    centre: from,
    rotation: lookAt(from, target),
  };
  map.triangle.fill(-1);
  map.inverseDepth.fill(0);
  rasterise(mesh.indices, 0, mesh.castingTriangles, projectVertices(mesh.positions, camera, 1), map);
  const { positions, normals } = mesh;
  const [r0, r1, r2, r3, r4, r5, r6, r7, r8] = camera.rotation;
  const middle = (mapSize - 1) / 2;
  for (let i = 0, vertex = 0; i < positions.length; i += 3, vertex++) {
    const x = positions[i] + liftM * normals[i] - from[0];
    const y = positions[i + 1] + liftM * normals[i + 1] - from[1];
    const z = positions[i + 2] + liftM * normals[i + 2] - from[2];
    const at = stride * vertex + offset;
    // A surface turned away gets nothing, whatever the map says.
    if (x * normals[i] + y * normals[i + 1] + z * normals[i + 2] >= 0) continue;
    const depth = r6 * x + r7 * y + r8 * z;
    const column = depth > 0 ? middle + (camera.focalPx * (r0 * x + r1 * y + r2 * z)) / depth : -1;
    const row = depth > 0 ? middle + (camera.focalPx * (r3 * x + r4 * y + r5 * z)) / depth : -1;
    if (!(column >= 0 && row >= 0 && column < mapSize - 1 && row < mapSize - 1)) {
      seen[at] += weight;
      continue;
    }
    const c = Math.floor(column);
    const r = Math.floor(row);
    const fx = column - c;
    const fy = row - r;
    const limit = (1 / depth) * (1 + shadowSlack);
    const cell = r * mapSize + c;
    let lit = 0;
    if (map.inverseDepth[cell] <= limit) lit += (1 - fx) * (1 - fy);
    if (map.inverseDepth[cell + 1] <= limit) lit += fx * (1 - fy);
    if (map.inverseDepth[cell + mapSize] <= limit) lit += (1 - fx) * fy;
    if (map.inverseDepth[cell + mapSize + 1] <= limit) lit += fx * fy;
    seen[at] += weight * lit;
  }
}

/** Points spread evenly over a disc that faces `target` (sunflower pattern, Vogel 1979). */
function discSamples(lamp: Lamp, target: Vector3): Vector3[] {
  const forward = normalise(subtract(target, lamp.position));
  const side = normalise(cross(forward, Math.abs(forward[2]) > 0.9 ? [1, 0, 0] : [0, 0, 1]));
  const up = cross(side, forward);
  return Array.from({ length: samplesPerLamp }, (_, i) => {
    const radius = lamp.radiusM * Math.sqrt((i + 0.5) / samplesPerLamp);
    const angle = i * 2.399963;
    return add(
      lamp.position,
      add(scale(side, radius * Math.cos(angle)), scale(up, radius * Math.sin(angle))),
    );
  });
}

/** Half the width of the area around the subject that shadow maps cover, metres. */
const shadowHalfWidthM = 0.75;

/** The room's own light is that of the lit place around the table: beyond this it falls off, metres. */
const litRadiusM = 0.9;
const dimmingM = 1.6;

/**
 * Diffuse light at each vertex: every lamp by distance, cosine and soft shadow, and the room's own light by how
 * much of the upper half of the sphere is open. No light bounces; the ambient term stands for it.
 */
export function bakeLight(
  mesh: Casters,
  lamps: readonly Lamp[],
  ambient: Vector3,
  target: Vector3,
): { light: Float32Array; lampShare: Float32Array } {
  const { positions, normals } = mesh;
  const vertices = positions.length / 3;
  const light = new Float32Array(positions.length);
  const lampShare = new Float32Array(vertices * lamps.length);
  const map = createVisibility(mapSize, mapSize);
  lamps.forEach((lamp, k) => {
    for (const from of discSamples(lamp, target)) {
      addVisibility(
        mesh,
        from,
        target,
        shadowHalfWidthM,
        map,
        1 / samplesPerLamp,
        lampShare,
        lamps.length,
        k,
      );
    }
    for (let i = 0, vertex = 0; i < positions.length; i += 3, vertex++) {
      const x = lamp.position[0] - positions[i];
      const y = lamp.position[1] - positions[i + 1];
      const z = lamp.position[2] - positions[i + 2];
      const squared = x * x + y * y + z * z;
      const cosine = (x * normals[i] + y * normals[i + 1] + z * normals[i + 2]) / Math.sqrt(squared);
      if (cosine <= 0) continue;
      // Close to the lamp the law of the point source breaks down: its own size bounds the light.
      const level =
        (lamp.strength * cosine * lampShare[vertex * lamps.length + k]) / (squared + lamp.radiusM ** 2);
      for (let c = 0; c < 3; c++) light[i + c] += level * lamp.colour[c];
    }
  });

  const open = new Float32Array(vertices);
  for (let i = 0; i < domeDirections; i++) {
    const height = (i + 0.5) / domeDirections;
    const ring = Math.sqrt(1 - height * height);
    const angle = i * 2.399963;
    const direction: Vector3 = [ring * Math.cos(angle), ring * Math.sin(angle), height];
    addVisibility(
      mesh,
      add(target, scale(direction, 4)),
      target,
      shadowHalfWidthM,
      map,
      1 / domeDirections,
      open,
      1,
      0,
    );
  }
  for (let i = 0, vertex = 0; i < positions.length; i += 3, vertex++) {
    // Rays go to the upper half only; a share from below and the walls keeps undersides from going black.
    const level = 0.2 + 0.15 * (1 + normals[i + 2]) + open[vertex];
    const away = Math.hypot(
      positions[i] - target[0],
      positions[i + 1] - target[1],
      positions[i + 2] - target[2],
    );
    const dim = Math.exp(-Math.max(0, away - litRadiusM) / dimmingM);
    for (let c = 0; c < 3; c++) light[i + c] += ambient[c] * level * dim;
  }
  return { light, lampShare };
}
