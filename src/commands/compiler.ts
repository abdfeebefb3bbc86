import { setFlagsFromString } from "node:v8";

/** The V8 of Node 20, where this was measured. Later ones have a cheap compiler between the slow code and the costly one. */
const MEASURED = /^11\./;

/**
 * Has V8 compile a function to fast code after 4.5 times as much work in it as usual. Each thread compiles what it runs anew,
 * and after 4 of 60 photos were taken again a third of all CPU time went there, much of it for code that then hardly
 * ran: with this such a run takes 8 % less of it, a first run 3 %; with seven times as much first runs gain nothing.
 * Of no use once the threads have started.
 */
export function compileLess(): void {
  if (MEASURED.test(process.versions.v8)) setFlagsFromString("--interrupt-budget=300000");
}
