/**
 * usage: node build/test/evaluate/evaluate.js [--rendered N] [--warped N] [--fresh] [--save]: see injected.ts
 *        node build/test/evaluate/evaluate.js captures FOLDER [NAME ...] [--save FILE]: see captures.ts
 */
await import(process.argv[2] === "captures" ? "./captures.js" : "./injected.js");
