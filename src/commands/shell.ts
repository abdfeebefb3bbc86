import { basename, isAbsolute, relative, sep } from "node:path";

/** A path as a shell reads it back whole. */
export function shellWord(path: string): string {
  return /^[\w./-]+$/.test(path) ? path : `'${path.replaceAll("'", "'\\''")}'`;
}

/**
 * What to type to start the program once more: its name where a shell found it by that, else node and its file.
 *
 * @param script the file that node was started with, as in process.argv[1]: a link is not followed
 */
export function startedAs(script: string, workingFolder: string): string {
  if (script.split(sep).includes("node_modules")) return "npx goodgate";
  if (basename(script) === "goodgate") return "goodgate";
  const inside = relative(workingFolder, script);
  return `node ${shellWord(inside.startsWith("..") || isAbsolute(inside) ? script : inside)}`;
}
