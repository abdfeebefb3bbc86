/**
 * True matches within 3 px of known homographies beside those of the general-purpose library: see keypoint-yield.py,
 * which makes the pictures. Run `node build/test/evaluate/keypoint-yield.js FOLDER [options as JSON]`.
 */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import type { Features } from "#goodgate/types.js";
import { workingPicture } from "../support/working.js";
import { percentile } from "./table.js";

interface Pair {
  readonly photo: string;
  readonly a: string;
  readonly b: string;
  readonly degrees: number;
  readonly homography: readonly number[];
  readonly sift: number;
  readonly orb: number;
}

const folder = process.argv[2];
if (folder === undefined) throw new Error("expected the folder that keypoint-yield.py filled");
const options = JSON.parse(process.argv[3] ?? "{}");
const pairs: Pair[] = JSON.parse(readFileSync(join(folder, "pairs.json"), "utf8"));
const known = new Map<string, Features>();
let extractMs = 0;
let matchMs = 0;

/** CPU time of this process so far, ms: other work on the machine does not count. */
function cpuMs(): number {
  return process.cpuUsage().user / 1000;
}

async function featuresOf(name: string): Promise<Features> {
  const before = known.get(name);
  if (before !== undefined) return before;
  const working = await workingPicture(join(folder, name));
  const start = cpuMs();
  const features = extractFeatures(working, options);
  extractMs += cpuMs() - start;
  known.set(name, features);
  return features;
}

function withinThreePx(h: readonly number[], a: Features, b: Features, matches: Int32Array): number {
  let near = 0;
  for (let k = 0; k < matches.length; k += 2) {
    const [x, y] = [a.x[matches[k]], a.y[matches[k]]];
    const w = h[6] * x + h[7] * y + h[8];
    const dx = (h[0] * x + h[1] * y + h[2]) / w - b.x[matches[k + 1]];
    const dy = (h[3] * x + h[4] * y + h[5]) / w - b.y[matches[k + 1]];
    if (Math.hypot(dx, dy) < 3) near++;
  }
  return near;
}

const rows = new Map<number, { share: number[]; ours: number; all: number; sift: number; orb: number }>();
for (const pair of pairs) {
  const [a, b] = [await featuresOf(pair.a), await featuresOf(pair.b)];
  const start = cpuMs();
  const matches = matchDescriptors(a, b);
  matchMs += cpuMs() - start;
  const right = withinThreePx(pair.homography, a, b, matches);
  const row = rows.get(pair.degrees) ?? { share: [], ours: 0, all: 0, sift: 0, orb: 0 };
  row.share.push(right / pair.sift);
  row.ours += right;
  row.all += matches.length / 2;
  row.sift += pair.sift;
  row.orb += pair.orb;
  rows.set(pair.degrees, row);
}
console.log("degrees: true matches ours / SIFT / ORB; share of SIFT's least, median; ours right of all");
for (const [degrees, { share, ours, all, sift, orb }] of rows) {
  const [least, middle] = [percentile(share, 0), percentile(share, 0.5)];
  console.log(
    `${degrees}: ${ours} / ${sift} / ${orb}; ${least.toFixed(2)}, ${middle.toFixed(2)}; ${(ours / all).toFixed(2)}`,
  );
}
console.log(
  `CPU ms: ${(extractMs / known.size).toFixed(0)} a photo, ${(matchMs / pairs.length).toFixed(1)} a pair of matches`,
);
