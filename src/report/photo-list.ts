import { visible } from "../controls.js";
import { listed } from "./wording.js";

/**
 * Names of photos for a sentence: those that follow one another in capture order become "first to last (n)",
 * and a long list ends in how many more there are. `order` is the set in capture order.
 *
 * @param mostPieces names and runs to write out, 2 or more; the last of more is how many are left
 */
export function photoList(
  files: readonly string[],
  order: ReadonlyMap<string, number>,
  mostPieces = 6,
): string {
  if (files.length > 2 && files.length === order.size) return `all ${files.length} photos`;
  const runs = consecutiveRuns(files, order);
  const pieces = runs.map((run) =>
    run.length < 3
      ? run.map(visible)
      : [`${visible(run[0]!)} to ${visible(run.at(-1)!)} (${run.length} photos)`],
  );
  const flat = pieces.flat();
  if (flat.length <= mostPieces) return listed(flat);
  const named = flat.slice(0, mostPieces - 1);
  const sizes = runs.flatMap((run) => (run.length < 3 ? run.map(() => 1) : [run.length]));
  const left = sizes.slice(mostPieces - 1).reduce((sum, size) => sum + size, 0);
  return listed([...named, `${left} more`]);
}

/** Files in capture order, split wherever one is missing between two; files outside the order come last. */
function consecutiveRuns(
  files: readonly string[],
  order: ReadonlyMap<string, number>,
): readonly (readonly string[])[] {
  const place = (file: string) => order.get(file) ?? 2 * order.size;
  const sorted = files.toSorted((a, b) => place(a) - place(b));
  const runs: string[][] = [];
  for (const file of sorted) {
    const run = runs.at(-1);
    if (run !== undefined && place(file) === place(run.at(-1)!) + 1) run.push(file);
    else runs.push([file]);
  }
  return runs;
}

/** Each judged photo's place in capture order, from 0. */
export function captureOrder(photos: readonly { readonly file: string }[]): ReadonlyMap<string, number> {
  return new Map(photos.map(({ file }, index) => [file, index]));
}
