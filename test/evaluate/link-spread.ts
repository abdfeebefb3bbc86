/**
 * Evidence of linked and of unrelated photos, which the limit LINK_EVIDENCE has to keep apart:
 * run `npm run build:tools && node build/test/evaluate/link-spread.js [share of the unrelated pairs]`.
 */
import { basename } from "node:path";
import sharp from "sharp";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { findAgreement } from "#goodgate/measure/pair/agreement.js";
import { correspond } from "#goodgate/measure/pair/correspondences.js";
import { matchDescriptors, STRONGEST } from "#goodgate/measure/pair/match.js";
import { LINK_EVIDENCE, verifyMatches } from "#goodgate/measure/pair/verify.js";
import type { Features } from "#goodgate/types/photo.js";
import type { GreyImage } from "#goodgate/types/pixels.js";
import { overlapCases } from "../measure/pair/overlap-cases.js";
import { workingPicture } from "../support/working.js";
import { type RealPhoto, realPhotos } from "./real-photos.js";
import { percentile } from "./table.js";

/** Share of a's frame that the second half of a cut photo shares with the first. */
const CUT_OVERLAP = 0.15;
/** Fewer keypoints than this and a photo cannot link to anything. */
const FEWEST_KEYPOINTS = 30;

interface Sample extends RealPhoto {
  readonly working: GreyImage;
  readonly features: Features;
}

interface Outcome {
  readonly name: string;
  readonly evidence: number;
  readonly verified: number;
  readonly matches: number;
}

function compare(name: string, a: Features, b: Features): Outcome {
  const matches = matchDescriptors(a, b);
  const { evidence, inliers } = verifyMatches(a, b, matches, 1);
  return { name, evidence, verified: inliers.length / 2, matches: matches.length / 2 };
}

/** Matches of the strongest keypoints that agree on turn and zoom: what leaves other turns out (match.ts). */
function agreeingOf(a: Features, b: Features): number {
  const [p, q] = [a, b].map((one) => ({ ...one, count: Math.min(one.count, STRONGEST) }));
  return findAgreement(correspond(p, q, matchDescriptors(p, q, { anyTurn: true })))?.votes ?? 0;
}

async function samples(): Promise<Sample[]> {
  const out: Sample[] = [];
  for (const photo of realPhotos()) {
    try {
      const working = await workingPicture(photo.file);
      const features = extractFeatures(working);
      if (features.count >= FEWEST_KEYPOINTS) out.push({ ...photo, working, features });
    } catch (error) {
      console.error(
        `left out: ${photo.file}: ${error instanceof Error ? error.message.split("\n")[0] : error}`,
      );
    }
  }
  return out;
}

/** The two halves of a photo with a strip in common; the second smaller, turned by 4 degrees, dimmer and compressed. */
async function halves({ width, height, data }: GreyImage): Promise<[Features, Features]> {
  const part = Math.round(width / (2 - CUT_OVERLAP));
  const raw = { raw: { width, height, channels: 1 as const } };
  const first = new Uint8Array(part * height);
  for (let y = 0; y < height; y++) first.set(data.subarray(y * width, y * width + part), y * part);
  const second = await sharp(data, raw)
    .extract({ left: width - part, top: 0, width: part, height })
    .linear(0.85, 5)
    .resize(Math.round(0.92 * part))
    .toColourspace("b-w")
    .jpeg({ quality: 80 })
    .toBuffer();
  const turned = await sharp(second)
    .rotate(4, { background: "#606060" })
    .toColourspace("b-w")
    .extractChannel(0)
    .raw()
    .toBuffer({ resolveWithObject: true });
  return [
    extractFeatures({ width: part, height, data: first }),
    extractFeatures({
      width: turned.info.width,
      height: turned.info.height,
      data: new Uint8Array(turned.data),
    }),
  ];
}

function report(title: string, outcomes: Outcome[], weakestFirst: boolean): void {
  const sorted = [...outcomes].sort((p, q) =>
    weakestFirst ? p.evidence - q.evidence : q.evidence - p.evidence,
  );
  const values = outcomes.map((outcome) => outcome.evidence);
  const linked = values.filter((value) => value >= LINK_EVIDENCE).length;
  const spread = [0, 0.05, 0.5, 0.95, 1].map((share) => percentile(values, share).toFixed(1)).join(" / ");
  console.log(
    `\n${title}: ${values.length} pairs, ${linked} linked; evidence least/5 %/median/95 %/most ${spread}`,
  );
  for (const { name, evidence, verified, matches } of sorted.slice(0, 8)) {
    console.log(`  ${evidence.toFixed(1)}  ${name}: ${verified} verified of ${matches} matches`);
  }
}

const photos = await samples();
const share = Number(process.argv[2] ?? 1);
const every = Math.max(1, Math.round(1 / share));
const unrelated: Outcome[] = [];
const agreeing: number[] = [];
let at = 0;
for (let i = 0; i < photos.length; i++) {
  for (let j = i + 1; j < photos.length; j++) {
    const [p, q] = [photos[i], photos[j]];
    if (p.family === q.family || at++ % every !== 0) continue;
    agreeing.push(agreeingOf(p.features, q.features));
    unrelated.push(compare(`${basename(p.file)} and ${basename(q.file)}`, p.features, q.features));
  }
}
const cut: Outcome[] = [];
for (const { file, working, features } of photos) {
  // Texture is what a link needs: plain drawings and pages with a few dozen keypoints say nothing of photographs.
  if (features.count < 1500 || working.width < 400) continue;
  cut.push(compare(basename(file), ...(await halves(working))));
}
const known = (await overlapCases()).map(({ name, a, b, truth }) =>
  compare(`${name}, overlap ${truth.toFixed(2)}`, a, b),
);

console.log(`limit: evidence ${LINK_EVIDENCE}; ${photos.length} photos`);
report("unrelated photos, strongest first", unrelated, false);
console.log(`of their ${STRONGEST} strongest keypoints' matches agree at most ${Math.max(0, ...agreeing)}`);
report(`halves of one photo with ${100 * CUT_OVERLAP} % in common, weakest first`, cut, true);
report("photos of known overlap, weakest first", known, true);
