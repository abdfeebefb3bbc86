/** Overlap of real photographs against truth: run `npm run build:tools && node build/test/evaluate/overlap.js`. */
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { overlapCases } from "../measure/pair/overlap-cases.js";

let squares = 0;
let sum = 0;
let most = 0;
const cases = await overlapCases();
console.log("case, keypoints, verified matches, model evidence, overlap measured, true, error");
for (const { name, a, b, truth } of cases) {
  const { facts } = measurePair(a, b, 1);
  const error = (facts.overlapRatio ?? 0) - truth;
  squares += error * error;
  sum += error;
  most = Math.max(most, Math.abs(error));
  const measured = facts.overlapRatio?.toFixed(3) ?? "not linked";
  console.log(
    `${name}: ${a.count}/${b.count} keypoints, ${facts.verifiedMatches} verified, ${measured}, ${truth.toFixed(3)}, ${error.toFixed(3)}, support ${facts.supportRatio?.toFixed(2)}`,
  );
}
const n = cases.length;
console.log(
  `${n} cases: bias ${(sum / n).toFixed(3)}, RMS ${Math.sqrt(squares / n).toFixed(3)}, worst ${most.toFixed(3)}`,
);
