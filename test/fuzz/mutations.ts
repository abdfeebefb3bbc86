/** Ways to damage a file, each hanging on nothing but the numbers it draws. */

/** Draws in [0, 1). */
export type Random = () => number;

/** A file to start from. */
export interface Source {
  readonly name: string;
  readonly bytes: Uint8Array;
}

type Mutation = (bytes: Uint8Array, random: Random, others: readonly Source[]) => Uint8Array;

const whole = (random: Random, below: number): number => Math.floor(random() * below);
const oneOf = <T>(list: readonly T[], random: Random): T => list[whole(random, list.length)];
const concat = (...parts: readonly Uint8Array[]): Uint8Array => new Uint8Array(Buffer.concat(parts));

/** Numbers that programs trip over. */
const EXTREMES = [
  0, 1, 2, 0x7f, 0x80, 0xff, 0x7fff, 0x8000, 0xffff, 0x10000, 0x7fffffff, 0x80000000, 0xffffffff,
];

const flipBits: Mutation = (bytes, random) => {
  const out = bytes.slice();
  for (let n = 1 + whole(random, 16); n > 0; n--) out[whole(random, out.length)] ^= 1 << whole(random, 8);
  return out;
};

/** Most of what makes a decoder stumble stands at a file's start. */
const flipHead: Mutation = (bytes, random) => {
  const out = bytes.slice();
  const head = Math.min(out.length, 600);
  for (let n = 1 + whole(random, 8); n > 0; n--) out[whole(random, head)] = whole(random, 256);
  return out;
};

const fillRun: Mutation = (bytes, random) => {
  const out = bytes.slice();
  const start = whole(random, out.length);
  return out.fill(oneOf([0, 0xff, whole(random, 256)], random), start, start + 1 + whole(random, 4000));
};

const truncate: Mutation = (bytes, random) => bytes.slice(0, whole(random, bytes.length));
const cutOut: Mutation = (bytes, random) => {
  const start = whole(random, bytes.length);
  return concat(bytes.subarray(0, start), bytes.subarray(start + 1 + whole(random, 2000)));
};
const repeat: Mutation = (bytes, random) => {
  const start = whole(random, bytes.length);
  const piece = bytes.subarray(start, start + 1 + whole(random, 2000));
  return concat(bytes.subarray(0, start), ...Array(1 + whole(random, 8)).fill(piece), bytes.subarray(start));
};
const append: Mutation = (bytes, random) =>
  concat(
    bytes,
    Uint8Array.from({ length: whole(random, 5000) }, () => whole(random, 256)),
  );
const splice: Mutation = (bytes, random, others) => {
  const other = oneOf(others, random).bytes;
  return concat(bytes.subarray(0, whole(random, bytes.length)), other.subarray(whole(random, other.length)));
};

/** A 16- or 32-bit number somewhere set to an extreme, in either byte order: counts, offsets, sizes. */
const extremeNumber: Mutation = (bytes, random) => {
  const out = bytes.slice();
  if (out.length < 8) return out;
  const view = new DataView(out.buffer);
  for (let n = 1 + whole(random, 4); n > 0; n--) {
    const at = whole(random, Math.min(out.length, random() < 0.7 ? 2000 : out.length) - 4);
    const [value, little] = [oneOf(EXTREMES, random), random() < 0.5];
    if (random() < 0.5) view.setUint16(at, value & 0xffff, little);
    else view.setUint32(at, value, little);
  }
  return out;
};

/** Where the bytes stand, all places. */
function placesOf(bytes: Uint8Array, wanted: readonly number[]): number[] {
  const file = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const places: number[] = [];
  for (let at = file.indexOf(Buffer.from(wanted)); at >= 0; at = file.indexOf(Buffer.from(wanted), at + 1)) {
    places.push(at);
  }
  return places;
}

const ascii = (text: string): number[] => [...Buffer.from(text, "latin1")];
/** What stands before a declared width and height, how many bytes lie between, and how long each number is. */
const SIZE_MARKS = [
  { mark: [0xff, 0xc0], gap: 3, size: 2 },
  { mark: [0xff, 0xc2], gap: 3, size: 2 },
  { mark: ascii("IHDR"), gap: 0, size: 4 },
  { mark: ascii("ispe"), gap: 4, size: 4 },
  { mark: ascii("VP8X"), gap: 8, size: 2 },
] as const;

/** Another size declared than the file has. */
const declaredSize: Mutation = (bytes, random, others) => {
  const out = bytes.slice();
  const view = new DataView(out.buffer);
  let found = false;
  for (const { mark, gap, size } of SIZE_MARKS) {
    for (const at of placesOf(out, mark)) {
      for (const field of [0, 1]) {
        const place = at + mark.length + gap + field * size;
        if (place + size > out.length || random() < 0.3) continue;
        found = true;
        const value = random() < 0.5 ? oneOf(EXTREMES, random) : whole(random, 70_000);
        if (size === 2) view.setUint16(place, value & 0xffff);
        else view.setUint32(place, value);
      }
    }
  }
  return found ? out : extremeNumber(bytes, random, others);
};

/** Fields of EXIF entries, each of twelve bytes: tag, type, count and value changed one at a time. */
const exifField: Mutation = (bytes, random, others) => {
  const out = bytes.slice();
  const heads = [...placesOf(out, ascii("II*\0")), ...placesOf(out, ascii("MM\0*"))];
  if (heads.length === 0) return extremeNumber(bytes, random, others);
  const head = oneOf(heads, random);
  const view = new DataView(out.buffer);
  const little = out[head] === 0x49;
  for (let n = 1 + whole(random, 4); n > 0; n--) {
    const entry = head + 10 + 12 * whole(random, 40);
    if (entry + 12 > out.length) break;
    switch (whole(random, 4)) {
      case 0:
        view.setUint16(
          entry,
          oneOf([0x8769, 0x8825, 0x829a, 0x920a, 0x0112, 0x9003, 0x014a], random),
          little,
        );
        break;
      case 1:
        view.setUint16(entry + 2, whole(random, 16), little);
        break;
      case 2:
        view.setUint32(entry + 4, oneOf(EXTREMES, random), little);
        break;
      default:
        view.setUint32(entry + 8, oneOf([...EXTREMES, 8, out.length - head], random), little);
    }
  }
  return out;
};

const MUTATIONS = {
  flipBits,
  flipHead,
  fillRun,
  truncate,
  cutOut,
  repeat,
  append,
  splice,
  extremeNumber,
  declaredSize,
  exifField,
} as const;

export interface Mutated {
  readonly bytes: Uint8Array;
  /** Source and mutations, in order. */
  readonly how: string;
}

/** One of the sources, damaged in one to three ways. The same draws give the same bytes. */
export function mutated(sources: readonly Source[], random: Random): Mutated {
  const source = oneOf(sources, random);
  let { bytes } = source;
  const names: string[] = [];
  for (let n = 1 + whole(random, 3); n > 0 && bytes.length > 0; n--) {
    const name = oneOf(Object.keys(MUTATIONS) as (keyof typeof MUTATIONS)[], random);
    bytes = MUTATIONS[name](bytes, random, sources);
    names.push(name);
  }
  return { bytes, how: `${source.name}: ${names.join(", ")}` };
}
