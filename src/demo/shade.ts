import type { Camera } from "./camera.js";
import type { LinearImage } from "./faults.js";
import { createVisibility, type Projected, projectVertices, rasterise, type Visibility } from "./raster.js";
import type { Scene } from "./scene.js";
import { detailTexture, sampleDetail, sampleTexture } from "./texture.js";

/** Samples a pixel along each side: edges are drawn at this, textures are filtered by footprint. */
const samplesPerSide = 2;
/** Picture rows drawn at a time: bounds the memory of the depth buffer. */
const bandRows = 128;
/** Most texture look-ups along a stretched footprint. */
const mostTaps = 4;
/** Two samples of one pixel whose depths differ by more than this share lie on different sides of an edge. */
const depthBreak = 0.03;
/** Blinn exponent of the gloss lobe: lamps mirror as spots of some 10 degrees. */
const glossExponent = 120;

const fresnelOf = (gloss: number, cosine: number): number => gloss + (1 - gloss) * (1 - cosine) ** 5;

/**
 * Draws the scene from one camera: linear radiance, and where asked for the share of each pixel on the subject and
 * 1 / depth, metres, of the nearest thing in each pixel.
 */
export function drawScene(
  scene: Scene,
  camera: Camera,
  into: LinearImage,
  mask: Uint8Array | undefined,
  inverseDepth?: Float32Array,
): void {
  const projected = projectVertices(scene.positions, camera, samplesPerSide);
  const band = createVisibility(camera.widthPx * samplesPerSide, bandRows * samplesPerSide);
  const shader = createShader(scene, camera, projected);
  for (let firstRow = 0; firstRow < camera.heightPx; firstRow += bandRows) {
    const rows = Math.min(bandRows, camera.heightPx - firstRow);
    band.firstRow = firstRow * samplesPerSide;
    band.triangle.fill(-1);
    band.inverseDepth.fill(0);
    rasterise(scene.indices, 0, scene.surfaceOf.length, projected, band);
    resolveBand(scene, band, firstRow, rows, shader, into, mask);
    if (inverseDepth !== undefined) resolveDepth(band, firstRow, rows, camera.widthPx, inverseDepth);
  }
}

/** Colour of triangle t at a place in samples, added to `sum` with a weight. */
type Shader = (triangle: number, x: number, y: number, weight: number, sum: Float64Array) => void;

function resolveBand(
  scene: Scene,
  band: Visibility,
  firstRow: number,
  rows: number,
  shade: Shader,
  into: LinearImage,
  mask: Uint8Array | undefined,
): void {
  const { triangle, inverseDepth, width } = band;
  const { surfaceOf, surfaces } = scene;
  const sum = new Float64Array(3);
  const subject = surfaces.map((surface) => surface.subject);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < into.width; column++) {
      const a = 2 * row * width + 2 * column;
      const c = a + width;
      const t0 = triangle[a];
      const t1 = triangle[a + 1];
      const t2 = triangle[c];
      const t3 = triangle[c + 1];
      const x = 2 * column;
      const y = 2 * (firstRow + row);
      sum[0] = 0;
      sum[1] = 0;
      sum[2] = 0;
      const d0 = inverseDepth[a];
      const slack = depthBreak * d0;
      const whole =
        t0 >= 0 &&
        t1 >= 0 &&
        t2 >= 0 &&
        t3 >= 0 &&
        surfaceOf[t0] === surfaceOf[t1] &&
        surfaceOf[t0] === surfaceOf[t2] &&
        surfaceOf[t0] === surfaceOf[t3] &&
        Math.abs(inverseDepth[a + 1] - d0) < slack &&
        Math.abs(inverseDepth[c] - d0) < slack &&
        Math.abs(inverseDepth[c + 1] - d0) < slack;
      if (whole) {
        shade(t0, x + 0.5, y + 0.5, 1, sum);
      } else {
        if (t0 >= 0) shade(t0, x, y, 0.25, sum);
        if (t1 >= 0) shade(t1, x + 1, y, 0.25, sum);
        if (t2 >= 0) shade(t2, x, y + 1, 0.25, sum);
        if (t3 >= 0) shade(t3, x + 1, y + 1, 0.25, sum);
      }
      const pixel = (firstRow + row) * into.width + column;
      into.data[3 * pixel] = sum[0];
      into.data[3 * pixel + 1] = sum[1];
      into.data[3 * pixel + 2] = sum[2];
      if (mask !== undefined) {
        let covered = 0;
        if (t0 >= 0 && subject[surfaceOf[t0]]) covered++;
        if (t1 >= 0 && subject[surfaceOf[t1]]) covered++;
        if (t2 >= 0 && subject[surfaceOf[t2]]) covered++;
        if (t3 >= 0 && subject[surfaceOf[t3]]) covered++;
        mask[pixel] = Math.round((255 * covered) / 4);
      }
    }
  }
}

/** The nearest of each pixel's samples. */
function resolveDepth(
  band: Visibility,
  firstRow: number,
  rows: number,
  columns: number,
  into: Float32Array,
): void {
  const { inverseDepth, width } = band;
  for (let row = 0, to = firstRow * columns; row < rows; row++) {
    for (let column = 0; column < columns; column++, to++) {
      const a = 2 * row * width + 2 * column;
      const c = a + width;
      into[to] = Math.max(inverseDepth[a], inverseDepth[a + 1], inverseDepth[c], inverseDepth[c + 1]);
    }
  }
}

function createShader(scene: Scene, camera: Camera, projected: Projected): Shader {
  const { indices, uvs, light, surfaceOf, surfaces, exposure, lamps, lampShare, normals, positions } = scene;
  const { x: sx, y: sy, inverseDepth } = projected;
  const details = detailTexture();
  const texel = new Float64Array(3);
  const shift = samplesPerSide;
  let last = -1;
  // Of the triangle last shaded: origin, steps of the weights, then 1/depth, u/depth and v/depth of its corners. Kept
  // in an array, since numbers a closure assigns to are put on the heap one by one.
  const kept = new Float64Array(15);
  let va = 0;
  let vertexB = 0;
  let vertexC = 0;
  let surface = surfaces[0];
  return (t, px, py, weight, sum) => {
    if (t !== last) {
      last = t;
      const a = indices[3 * t];
      const b = indices[3 * t + 1];
      const c = indices[3 * t + 2];
      va = a;
      vertexB = b;
      vertexC = c;
      const area = (sx[b] - sx[a]) * (sy[c] - sy[a]) - (sy[b] - sy[a]) * (sx[c] - sx[a]);
      const wa = inverseDepth[a];
      kept[0] = sx[a];
      kept[1] = sy[a];
      kept[2] = (sy[c] - sy[a]) / area;
      kept[3] = (sx[a] - sx[c]) / area;
      kept[4] = (sy[a] - sy[b]) / area;
      kept[5] = (sx[b] - sx[a]) / area;
      kept[6] = wa;
      kept[7] = inverseDepth[b];
      kept[8] = inverseDepth[c];
      kept[9] = uvs[2 * a] * wa;
      kept[10] = uvs[2 * b] * inverseDepth[b];
      kept[11] = uvs[2 * c] * inverseDepth[c];
      kept[12] = uvs[2 * a + 1] * wa;
      kept[13] = uvs[2 * b + 1] * inverseDepth[b];
      kept[14] = uvs[2 * c + 1] * inverseDepth[c];
      surface = surfaces[surfaceOf[t]];
    }
    const bx = kept[2];
    const by = kept[3];
    const cx = kept[4];
    const cy = kept[5];
    const w0 = kept[6];
    const wb = kept[7];
    const wc = kept[8];
    const u0 = kept[9];
    const ub = kept[10];
    const uc = kept[11];
    const v0 = kept[12];
    const vb = kept[13];
    const vc = kept[14];
    const dx = px - kept[0];
    const dy = py - kept[1];
    const beta = bx * dx + by * dy;
    const gamma = cx * dx + cy * dy;
    const alpha = 1 - beta - gamma;
    const inverse = 1 / (alpha * w0 + beta * wb + gamma * wc);
    const u = (alpha * u0 + beta * ub + gamma * uc) * inverse;
    const v = (alpha * v0 + beta * vb + gamma * vc) * inverse;

    // Footprint of one pixel on the texture, in texels.
    const texture = surface.texture;
    const wide = texture.width;
    const high = texture.height;
    const wx = bx * (wb - w0) + cx * (wc - w0);
    const wy = by * (wb - w0) + cy * (wc - w0);
    const k = inverse * shift;
    const ux = (bx * (ub - u0) + cx * (uc - u0) - u * wx) * k * wide;
    const uy = (by * (ub - u0) + cy * (uc - u0) - u * wy) * k * wide;
    const vx = (bx * (vb - v0) + cx * (vc - v0) - v * wx) * k * high;
    const vy = (by * (vb - v0) + cy * (vc - v0) - v * wy) * k * high;
    const lengthX = ux * ux + vx * vx;
    const lengthY = uy * uy + vy * vy;
    let majorU = ux;
    let majorV = vx;
    let major = Math.sqrt(lengthX);
    if (lengthY > lengthX) {
      majorU = uy;
      majorV = vy;
      major = Math.sqrt(lengthY);
    }
    const minor = Math.max(1e-6, Math.abs(ux * vy - uy * vx) / Math.max(major, 1e-9));
    let taps = Math.ceil(major / minor - 0.3);
    if (taps > mostTaps) taps = mostTaps;
    if (taps < 1 || major < 1) taps = 1;
    const step = major / taps;
    const level = Math.log2(Math.max(step, minor));
    texel[0] = 0;
    texel[1] = 0;
    texel[2] = 0;
    const share = 1 / taps;
    for (let i = 0; i < taps; i++) {
      const f = (i + 0.5) * share - 0.5;
      sampleTexture(texture, level, u + (f * majorU) / wide, v + (f * majorV) / high, share, texel);
    }
    let gain = exposure * weight;
    if (level < 0 && surface.detail > 0) {
      gain *= 1 + surface.detail * sampleDetail(details, level, u * wide, v * high);
    }
    const la = 3 * va;
    const lb = 3 * vertexB;
    const lc = 3 * vertexC;
    // Barycentric weights on the surface itself, perspective removed.
    const pa = alpha * w0 * inverse;
    const pb = beta * wb * inverse;
    const pc = gamma * wc * inverse;
    const code = gain / 65025;
    for (let c = 0; c < 3; c++) {
      const level3 = pa * light[la + c] + pb * light[lb + c] + pc * light[lc + c];
      sum[c] += code * texel[c] * texel[c] * Math.max(level3, 0);
    }
    if (surface.gloss > 0) addGloss(pa, pb, pc, exposure * weight, sum);
  };

  function addGloss(pa: number, pb: number, pc: number, gain: number, sum: Float64Array): void {
    const a = 3 * va;
    const b = 3 * vertexB;
    const c = 3 * vertexC;
    const x = pa * positions[a] + pb * positions[b] + pc * positions[c];
    const y = pa * positions[a + 1] + pb * positions[b + 1] + pc * positions[c + 1];
    const z = pa * positions[a + 2] + pb * positions[b + 2] + pc * positions[c + 2];
    let nx = pa * normals[a] + pb * normals[b] + pc * normals[c];
    let ny = pa * normals[a + 1] + pb * normals[b + 1] + pc * normals[c + 1];
    let nz = pa * normals[a + 2] + pb * normals[b + 2] + pc * normals[c + 2];
    const size = 1 / Math.hypot(nx, ny, nz);
    nx *= size;
    ny *= size;
    nz *= size;
    let ex = camera.centre[0] - x;
    let ey = camera.centre[1] - y;
    let ez = camera.centre[2] - z;
    const distance = 1 / Math.hypot(ex, ey, ez);
    ex *= distance;
    ey *= distance;
    ez *= distance;
    for (let k = 0; k < lamps.length; k++) {
      const lamp = lamps[k];
      let lx = lamp.position[0] - x;
      let ly = lamp.position[1] - y;
      let lz = lamp.position[2] - z;
      const squared = lx * lx + ly * ly + lz * lz;
      const toLamp = 1 / Math.sqrt(squared);
      lx *= toLamp;
      ly *= toLamp;
      lz *= toLamp;
      const facing = nx * lx + ny * ly + nz * lz;
      if (facing <= 0) continue;
      let hx = lx + ex;
      let hy = ly + ey;
      let hz = lz + ez;
      const half = 1 / Math.hypot(hx, hy, hz);
      hx *= half;
      hy *= half;
      hz *= half;
      const cosine = nx * hx + ny * hy + nz * hz;
      if (cosine < 0.8) continue;
      const n = lamps.length;
      const seen =
        pa * lampShare[va * n + k] + pb * lampShare[vertexB * n + k] + pc * lampShare[vertexC * n + k];
      // Normalised Blinn lobe: the same energy whatever the exponent.
      const lobe = ((glossExponent + 8) / 8) * cosine ** glossExponent;
      const mirror = fresnelOf(surface.gloss, hx * ex + hy * ey + hz * ez);
      const level = (gain * mirror * lobe * facing * seen * lamp.strength) / (squared + lamp.radiusM ** 2);
      sum[0] += level * lamp.colour[0];
      sum[1] += level * lamp.colour[1];
      sum[2] += level * lamp.colour[2];
    }
  }
}
