import { octaves, pyramidNoise, valueNoise } from "../noise.js";
import type { Painter } from "../paint.js";
import { createRandom, mixSeed } from "../random.js";

/** What a prop is made of, as far as a camera can tell. */
export type Material = "matt" | "glossy" | "plaster";

/** Contrast finer than the colour texture, natural log, of a rough surface. */
const roughDetail = 0.22;

/** Plain white plaster: texture contrast of 0.6 %, under the 1 % that counts as plain. */
function plasterPainter(seed: number): Painter {
  return (point, out) => {
    const value = 0.78 * (1 + 0.006 * valueNoise(point.x * 60, point.y * 60, point.z * 60, seed));
    out[0] = value;
    out[1] = value * 0.985;
    out[2] = value * 0.95;
  };
}

/** Detail contrast, mirror reflectance and painter of a prop in a material; plaster hides the prop's own colours. */
export function finish(
  material: Material,
  seed: number,
  own: () => Painter,
): { painter: () => Painter; detail: number; gloss: number } {
  if (material === "plaster") return { painter: () => plasterPainter(seed), detail: 0, gloss: 0 };
  return { painter: own, detail: roughDetail, gloss: material === "glossy" ? 0.06 : 0 };
}

/** Salt-glazed stoneware with iron specks, painted bands and leaves in cobalt. Height and angle in the jug's frame. */
export function stonewarePainter(seed: number, width: number, height: number): Painter {
  // Pyramid noise, ten times as fast as lattice noise: grain up to 16 texels (5 mm), clouds above, round specks.
  const grain = pyramidNoise(width, height, mixSeed(seed, 12), (step) => (step < 4 ? 0.55 : 0)).data;
  const clouds = pyramidNoise(width, height, mixSeed(seed, 13), (step) => (step < 4 ? 0 : 0.4)).data;
  const specks = pyramidNoise(width, height, mixSeed(seed, 14), (step) =>
    step === 2 ? 1 : step === 1 ? 0.3 : 0,
  ).data;
  const random = createRandom(seed, 11);
  const leaves = Array.from({ length: 26 }, () => ({
    angle: random.between(0, 2 * Math.PI),
    height: random.between(0.05, 0.17),
    size: random.between(0.012, 0.024),
    tilt: random.between(0, 2 * Math.PI),
    petals: 2 + random.below(4),
  }));
  return (point, out) => {
    const { x, y, z } = point;
    const texel = point.j * width + point.i;
    const coarse = clouds[texel];
    const fine = grain[texel];
    let red = 0.42;
    let green = 0.34;
    let blue = 0.25;
    let cobalt = 0;
    const angle = Math.atan2(y, x);
    const wobble = 0.0018 * coarse;
    for (const leaf of leaves) {
      const dz = z + wobble - leaf.height;
      if (Math.abs(dz) > leaf.size * 1.3) continue;
      let da = angle - leaf.angle;
      if (da > Math.PI) da -= 2 * Math.PI;
      if (da < -Math.PI) da += 2 * Math.PI;
      const dx = da * 0.085;
      const squared = dx * dx + dz * dz;
      if (squared > leaf.size * leaf.size) continue;
      const radius = Math.sqrt(squared);
      const around = Math.atan2(dz, dx) + leaf.tilt;
      const edge = leaf.size * (0.35 + 0.65 * Math.abs(Math.cos(leaf.petals * 0.5 * around)));
      if (radius < edge) cobalt = Math.max(cobalt, 0.55 + 0.4 * (radius / edge));
    }
    for (const band of [0.026, 0.034, 0.186, 0.198, 0.236]) {
      if (Math.abs(z + wobble - band) < 0.0018) cobalt = Math.max(cobalt, 0.8);
    }
    cobalt *= 0.8 + 0.25 * coarse;
    cobalt = Math.min(1, Math.max(0, cobalt));
    red += (0.07 - red) * cobalt;
    green += (0.1 - green) * cobalt;
    blue += (0.24 - blue) * cobalt;
    const speck = specks[texel];
    const dark = speck > 0.62 ? Math.max(0.25, 1 - 6 * (speck - 0.62)) : 1;
    const level = Math.exp(0.2 * coarse + 0.4 * fine) * dark;
    out[0] = red * level;
    out[1] = green * level * (1 - 0.05 * coarse);
    out[2] = blue * level * (1 - 0.1 * coarse);
  };
}

/** Carved wood with grain along x, worn green paint and chisel marks. */
export function carvedWoodPainter(seed: number): Painter {
  return (point, out) => {
    const { x, y, z } = point;
    const warp = octaves(x, y, z, 0.08, 0.02, seed);
    const rings = Math.sin(900 * Math.hypot(y + 0.03, z - 0.06) + 6 * warp + 40 * x);
    const grain = octaves(x * 0.25, y, z, 0.006, 0.0012, seed + 3, 0.9);
    const fine = octaves(x, y, z, 0.02, 0.0012, seed + 7, 0.95);
    const worn = octaves(x, y, z, 0.07, 0.005, seed + 9, 0.75) + 3 * Math.max(0, z - 0.06);
    const paint = Math.min(1, Math.max(0, 2.2 * (worn + 0.25)));
    const level = Math.exp(0.16 * fine + 0.12 * grain + 0.1 * warp);
    const wood = 1 + 0.22 * rings;
    out[0] = level * (0.46 * wood * (1 - paint) + 0.17 * paint);
    out[1] = level * (0.3 * wood * (1 - paint) + 0.3 * paint);
    out[2] = level * (0.17 * wood * (1 - paint) + 0.16 * paint);
  };
}

/** Painted boards of a travelling trunk: planks, scuffs, stencilled roundels. Works in the plane of each face. */
export function trunkPainter(seed: number, width: number, height: number): Painter {
  const field = pyramidNoise(width, height, seed, (step) => (step < 7 ? 0.42 : 0.3));
  const random = createRandom(seed, 3);
  const marks = Array.from({ length: 14 }, () => ({
    u: random.uniform(),
    v: random.uniform(),
    size: random.between(0.03, 0.1),
    arms: 3 + random.below(5),
    turn: random.between(0, 6.28),
    hue: random.below(3),
  }));
  const colours = [
    [0.5, 0.36, 0.1],
    [0.46, 0.42, 0.34],
    [0.28, 0.06, 0.05],
  ];
  const planks = 3 + random.below(3);
  return (point, out) => {
    const noise = field.data[point.j * width + point.i];
    let base = [0.12, 0.27, 0.3];
    for (const mark of marks) {
      const du = point.u - mark.u;
      const dv = (point.v - mark.v) * 0.7;
      const radius = Math.hypot(du, dv);
      if (radius > mark.size) continue;
      const edge = mark.size * (0.55 + 0.45 * Math.cos(mark.arms * Math.atan2(dv, du) + mark.turn));
      if (radius < edge && radius > 0.2 * mark.size) base = colours[mark.hue];
    }
    const plank = Math.abs(((point.v * planks) % 1) - 0.5) > 0.485 ? 0.35 : 1;
    const scuff = noise > 0.62 ? 1 : 0;
    const level = Math.exp(0.5 * noise) * plank;
    out[0] = level * (base[0] + (0.3 - base[0]) * scuff);
    out[1] = level * (base[1] + (0.2 - base[1]) * scuff);
    out[2] = level * (base[2] + (0.11 - base[2]) * scuff);
  };
}

/** Old brass: warm metal with tarnish and scratches. */
export function brassPainter(seed: number): Painter {
  return (point, out) => {
    const { x, y, z } = point;
    const tarnish = octaves(x, y, z, 0.1, 0.004, seed, 0.85);
    const fine = octaves(x, y, z * 0.3, 0.01, 0.001, seed + 4, 0.9);
    const level = Math.exp(0.3 * tarnish + 0.18 * fine);
    const green = Math.min(1, Math.max(0, tarnish - 0.4));
    out[0] = level * (0.44 - 0.3 * green);
    out[1] = level * (0.31 - 0.06 * green);
    out[2] = level * (0.1 + 0.1 * green);
  };
}

/** Dark iron straps. */
export function ironPainter(seed: number): Painter {
  return (point, out) => {
    const { x, y, z } = point;
    const rust = octaves(x, y, z, 0.05, 0.001, seed, 0.95);
    const level = Math.exp(0.3 * rust);
    out[0] = 0.12 * level;
    out[1] = 0.09 * level;
    out[2] = 0.075 * level;
  };
}
