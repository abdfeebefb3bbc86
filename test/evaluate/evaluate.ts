/**
 * usage: node build/test/evaluate/evaluate.js [--rendered N] [--warped N] [--fresh] [--save]: see injected.ts
 *        node build/test/evaluate/evaluate.js captures FOLDER [NAME ...] [--save FILE]: see captures.ts
 *        node build/test/evaluate/evaluate.js gate [--captures DIR] [--only WORD,...] [--save]: see gate.ts
 */
const script = process.argv[2];
await import(`./${script === "captures" || script === "gate" ? script : "injected"}.js`);
