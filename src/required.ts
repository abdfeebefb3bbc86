import { createRequire } from "node:module";

/**
 * Loads a CommonJS package. Importing one has Node read every file of it twice, at first only for the names it exports:
 * 20 ms more for ml-matrix, 25 for sharp and 9 for exifr, in every thread.
 */
export const required: NodeJS.Require = createRequire(import.meta.url);
