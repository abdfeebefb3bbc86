import { type Address, kernels } from "./kernels.js";

/** Kernels work in whole vectors: this many bytes behind every array may be read and written. */
const SLACK = 128;
const ALIGN = 16;
/** Below this address the kernels keep their own tables. */
const FIRST = 65_536;

let top: Address = FIRST;
let all: Uint8Array | undefined;

/**
 * Scratch memory of this thread's kernels, handed out like a stack. The memory has a fixed size, of which the system
 * provides only what is touched, so that a view of it stays good for as long as the work it was taken in.
 */
export interface Arena {
  /** Bytes with whatever was there before. */
  take(bytes: number): Address;
  /** Bytes set to `value`, 0 unless said. */
  filled(bytes: number, value?: number): Address;
  /** A copy of an array. */
  copy(array: Uint8Array | Int32Array | Uint32Array | Float32Array | Float64Array): Address;
  /** A copy of numbers as f64, those of one list behind those of another. */
  doubles(...lists: readonly ArrayLike<number>[]): Address;
  /** The whole memory, for single bytes. */
  readonly bytes: Uint8Array;
  u8(at: Address, length: number): Uint8Array;
  u16(at: Address, length: number): Uint16Array;
  i32(at: Address, length: number): Int32Array;
  u32(at: Address, length: number): Uint32Array;
  f32(at: Address, length: number): Float32Array;
  f64(at: Address, length: number): Float64Array;
}

/**
 * Runs `work` with arena to work in, and takes back all it took. What it returns must not be a view of that arena.
 * @throws RangeError where the memory is too small for what is asked
 */
export function withArena<T>(work: (arena: Arena) => T): T {
  const start = top;
  try {
    return work(arena);
  } finally {
    top = start;
  }
}

const arena: Arena = {
  take(bytes) {
    const at = top;
    top += Math.ceil((bytes + SLACK) / ALIGN) * ALIGN;
    const { byteLength } = kernels().memory.buffer;
    if (top > byteLength) {
      top = at;
      throw new RangeError(`expected at most ${byteLength} bytes of pixels in hand, found ${top + bytes}`);
    }
    return at;
  },
  filled(bytes, value = 0) {
    const at = arena.take(bytes);
    arena.u8(at, bytes).fill(value);
    return at;
  },
  copy(array) {
    const at = arena.take(array.byteLength);
    arena.u8(at, array.byteLength).set(new Uint8Array(array.buffer, array.byteOffset, array.byteLength));
    return at;
  },
  doubles(...lists) {
    const length = lists.reduce((sum, list) => sum + list.length, 0);
    const at = arena.take(8 * length);
    const all = arena.f64(at, length);
    let next = 0;
    for (const list of lists) {
      all.set(list, next);
      next += list.length;
    }
    return at;
  },
  get bytes() {
    all ??= new Uint8Array(kernels().memory.buffer);
    return all;
  },
  u8: (at, length) => new Uint8Array(kernels().memory.buffer, at, length),
  u16: (at, length) => new Uint16Array(kernels().memory.buffer, at, length),
  i32: (at, length) => new Int32Array(kernels().memory.buffer, at, length),
  u32: (at, length) => new Uint32Array(kernels().memory.buffer, at, length),
  f32: (at, length) => new Float32Array(kernels().memory.buffer, at, length),
  f64: (at, length) => new Float64Array(kernels().memory.buffer, at, length),
};
