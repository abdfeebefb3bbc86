/** Seeded random numbers: the same seed gives the same sequence on every machine. */
export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** Whole number in [0, count). */
  below(count: number): number;
  /** Normal, mean 0, standard deviation 1 (Box & Muller 1958). */
  normal(): number;
}

/**
 * Mixes whole numbers into one 32-bit seed, so that each photo, lamp or texture has a sequence of its own and
 * adding one changes no other.
 */
export function mixSeed(...parts: readonly number[]): number {
  let hash = 0x9e3779b9;
  for (const part of parts) {
    hash = Math.imul(hash ^ (part | 0), 0x85ebca6b);
    hash ^= hash >>> 13;
    hash = Math.imul(hash, 0xc2b2ae35);
    hash ^= hash >>> 16;
  }
  return hash >>> 0;
}

/** One step of a 32-bit counter generator with a multiply-xorshift finaliser; state in, word out. */
function nextWord(state: number): number {
  let word = (state + 0x6d2b79f5) | 0;
  word = Math.imul(word ^ (word >>> 15), word | 1);
  word ^= word + Math.imul(word ^ (word >>> 7), word | 61);
  return (word ^ (word >>> 14)) >>> 0;
}

export function createRandom(...seed: readonly number[]): Random {
  let state = mixSeed(...seed) | 0;
  const uniform = (): number => {
    const word = nextWord(state);
    state = (state + 0x6d2b79f5) | 0;
    return word / 4294967296;
  };
  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    below: (count) => Math.floor(uniform() * count),
    normal: () => {
      const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
      return radius * Math.cos(2 * Math.PI * uniform());
    },
  };
}

const tableSize = 1 << 16;
let normalTable: Float32Array | undefined;

/**
 * 65,536 normal deviates, mean 0 and standard deviation 1 exactly, in random order: a picture's noise is drawn
 * from it by 16 random bits a sample, which is several times faster than Box & Muller.
 */
export function normalDeviates(): Float32Array {
  if (normalTable !== undefined) return normalTable;
  const random = createRandom(0x6e6f6973);
  const table = new Float32Array(tableSize);
  let sum = 0;
  let squares = 0;
  for (let i = 0; i < tableSize; i++) {
    const value = random.normal();
    table[i] = value;
    sum += value;
    squares += value * value;
  }
  const mean = sum / tableSize;
  const deviation = Math.sqrt(squares / tableSize - mean * mean);
  for (let i = 0; i < tableSize; i++) table[i] = (table[i] - mean) / deviation;
  normalTable = table;
  return table;
}
