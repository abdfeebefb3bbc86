/**
 * Prints every measured figure of the geometry around the subject beside its bar, on synthetic point clouds with exact
 * truth. Run: npm run build && npx tsc -p test/tsconfig.json && node build/test/evaluate/around.js [seeds]
 */
import { twoViewRows } from "./around-two-views.js";
import { wholeSetRows } from "./around-whole-sets.js";
import { printRows } from "./table.js";

const seeds = Number(process.argv[2] ?? 20);
let missed = 0;
missed += printRows("Two views", twoViewRows(seeds, 0));
missed += printRows("Two views before a flat wall", twoViewRows(seeds, 2500));
missed += printRows("Whole sets", wholeSetRows(Math.ceil(seeds / 5)));
console.log(`\n${missed} bars missed`);
process.exitCode = missed > 0 ? 1 : 0;
