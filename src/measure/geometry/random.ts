/** A source of repeatable random numbers. */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform whole number in [0, limit); limit from 1 to 2^32. */
  below(limit: number): number;
  /** The counter that the next number is made of, a whole number of 32 bits: kernels take it, draw, and put it back. */
  state: number;
}

/**
 * Seeded random numbers: a 32-bit counter through a mixing function (Steele, Lea and Flood 2014, Fast Splittable
 * Pseudorandom Number Generators, the idea; the 32-bit mix constants are from memory). The same seed gives the
 * same numbers on every machine. Not for secrets.
 */
export function createRandom(seed: number): Random {
  const word = () => {
    random.state = (random.state + 0x9e3779b9) | 0;
    let z = random.state;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return (z ^ (z >>> 15)) >>> 0;
  };
  const random: Random = {
    next: () => word() / 4294967296,
    below: (limit) => Math.floor((word() / 4294967296) * limit),
    state: seed | 0,
  };
  return random;
}

/**
 * Writes `size` different whole numbers below `limit` to out[0 .. size - 1].
 *
 * @throws RangeError when size > limit
 */
export function drawSample(random: Random, limit: number, size: number, out: Int32Array): void {
  if (size > limit) throw new RangeError(`cannot draw ${size} different numbers below ${limit}`);
  for (let k = 0; k < size; k++) {
    let pick = random.below(limit);
    for (let j = 0; j < k; j++) {
      if (out[j] === pick) {
        pick = random.below(limit);
        j = -1;
      }
    }
    out[k] = pick;
  }
}
