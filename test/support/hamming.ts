import { DESCRIPTOR_WORDS } from "#goodgate/measure/features/features.js";

/** Differing bits of two 256-bit descriptors, 0 to 256, counted one by one. */
export function hammingDistance(a: Uint32Array, i: number, b: Uint32Array, j: number): number {
  let bits = 0;
  for (let w = 0; w < DESCRIPTOR_WORDS; w++) {
    let rest = (a[i * DESCRIPTOR_WORDS + w] ^ b[j * DESCRIPTOR_WORDS + w]) >>> 0;
    for (; rest > 0; rest >>>= 1) bits += rest & 1;
  }
  return bits;
}
