/**
 * usage: node build/test/evaluate/evaluate.js [--rendered N] [--warped N] [--fresh] [--save]: see injected.ts
 *        node build/test/evaluate/evaluate.js captures FOLDER [NAME ...] [--save FILE]: see captures.ts
 *        node build/test/evaluate/evaluate.js capture-subsets FOLDER [NAME ...] [--save FILE]: see capture-subsets.ts
 *        node build/test/evaluate/evaluate.js gate [--captures DIR] [--only WORD,...] [--save]: see gate.ts
 *        node build/test/evaluate/evaluate.js closure [--sets N]: see closure.ts
 */
const script = process.argv[2];
const NAMED = ["captures", "capture-subsets", "gate", "closure"];
await import(`./${script !== undefined && NAMED.includes(script) ? script : "injected"}.js`);
