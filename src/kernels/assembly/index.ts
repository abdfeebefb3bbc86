/**
 * Pixel and bit loops as WebAssembly SIMD, in AssemblyScript: TypeScript's syntax with machine types. Every function
 * takes addresses in linear memory; who calls them (../arena.ts and the code in measure/) owns that memory and leaves
 * SLACK bytes readable and writable behind every array, so that no loop needs a scalar end.
 *
 * Each has a plain TypeScript twin in test/kernels/plain*.ts, which it must equal on random input.
 */
export * from "./blur";
export * from "./bundle";
export * from "./colour";
export * from "./describe";
export * from "./edges";
export * from "./extrema";
export * from "./five-point";
export * from "./hamming";
export * from "./hull";
export * from "./laplacian";
export * from "./motion";
export { realRoots } from "./polynomial";
export * from "./products";
export { sampleModels, sampsonErrors, transferErrors } from "./sampling";
export * from "./shrink";
export * from "./spread";
export * from "./surface";
export * from "./votes";
export * from "./warp";
