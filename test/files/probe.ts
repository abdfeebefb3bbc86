/**
 * Reads and measures one file in a process of its own and prints what came of it as JSON: result, times and peak memory.
 * usage: node build/test/files/probe.js PATH NAME
 */
import { readPhoto } from "#goodgate/pipeline/read-photo.js";
import { noStore } from "../support/store.js";
import { told } from "./told.js";

const [path, name] = process.argv.slice(2);
const start = performance.now();
const result = await readPhoto({ file: name, path }, noStore);
const ms = performance.now() - start;
const { user, system } = process.cpuUsage();
// maxRSS is in KiB on every system but macOS.
console.log(
  JSON.stringify({
    told: told(result),
    ms,
    cpuMs: (user + system) / 1000,
    peakMib: process.resourceUsage().maxRSS / 1024,
  }),
);
