import { sampsonSquared } from "#goodgate/measure/geometry/sampson.js";
import { seededRandom } from "../../support/arrays.js";

/** Two views, focal length 1, of points 3 to 6 units away; b is moved by (-1, .2, .1) and turned about y. */
export function views(count: number, seed: number, depth: (x: number, y: number, random: number) => number) {
  const random = seededRandom(seed);
  const a = new Float64Array(2 * count);
  const b = new Float64Array(2 * count);
  const [cos, sin] = [Math.cos(0.2), Math.sin(0.2)];
  for (let i = 0; i < count; i++) {
    const [u, v] = [random() - 0.5, random() - 0.5];
    const z = depth(u, v, random());
    const [x, y] = [u * z, v * z];
    const [p, q, r] = [cos * x + sin * z - 1, y + 0.2, -sin * x + cos * z + 0.1];
    a.set([u, v], 2 * i);
    b.set([p / r, q / r], 2 * i);
  }
  return { a, b };
}

/** Largest squared Sampson distance. */
export function worst(f: ArrayLike<number>, a: Float64Array, b: Float64Array): number {
  let most = 0;
  for (let k = 0; k < a.length; k += 2)
    most = Math.max(most, sampsonSquared(f, a[k], a[k + 1], b[k], b[k + 1]));
  return most;
}
