/**
 * Audits parts of real captures with known camera poses: with holes, arcs, every second photo, without EXIF. What holds for
 * the whole of a capture may hold by chance; a part has other links, and often no closed way round.
 * usage: node build/test/evaluate/evaluate.js capture-subsets FOLDER [NAME ...] [--save FILE] [--only WORD]
 * FOLDER is as for captures.ts.
 */
import { copyFile, mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { audit } from "#goodgate/pipeline/audit.js";
import { withoutExif } from "../spawn/folders.js";
import { placedErrors } from "./captures/directions.js";
import { claimedGaps, frameOf, gaps, placeOf } from "./captures/gaps.js";
import { type Capture, renderTopic, type Topic } from "./captures/topic.js";
import { type CaptureTruth, readTruths } from "./captures/truth.js";
import { percentile } from "./table.js";

/** A part of a capture: which photos of the way round stay, by their number and true azimuth. */
interface Subset {
  readonly name: string;
  readonly stays: (azimuthDeg: number, k: number) => boolean;
  readonly exif?: false;
}

const within = (azimuthDeg: number, fromDeg: number, widthDeg: number) =>
  (azimuthDeg - fromDeg + 720) % 360 < widthDeg;

const SUBSETS: readonly Subset[] = [
  ...[30, 60].flatMap((widthDeg) =>
    [0, 90, 180, 270].map((fromDeg) => ({
      name: `without ${widthDeg} from ${fromDeg}`,
      stays: (azimuthDeg: number) => !within(azimuthDeg, fromDeg, widthDeg),
    })),
  ),
  ...[120, 180, 270].flatMap((widthDeg) =>
    [0, 90, 180, 270].map((fromDeg) => ({
      name: `${widthDeg} from ${fromDeg}`,
      stays: (azimuthDeg: number) => within(azimuthDeg, fromDeg, widthDeg),
    })),
  ),
  { name: "every other", stays: (_, k) => k % 2 === 0 },
  { name: "the others", stays: (_, k) => k % 2 === 1 },
  { name: "every third", stays: (_, k) => k % 3 === 0 },
  { name: "all without EXIF", stays: () => true, exif: false },
  { name: "without 60 from 90, nor EXIF", stays: (a) => !within(a, 90, 60), exif: false },
];

const part: Topic = {
  title: "Directions",
  about:
    "Of each part: photos; share placed in its largest connected component; angle between solved and true direction, degrees, median and largest; " +
    "share within twice the stated uncertainty; median of what is stated; verdict.",
  columns: ["photos", "placed", "median", "largest", "within twice", "stated", "verdict"],
  rows: (capture) => {
    const placed = placedErrors(capture);
    const errors = placed.map(({ error }) => error);
    const fitting = placed.filter(({ error, uncertaintyDeg }) => error <= 2 * uncertaintyDeg);
    const posed = capture.truth.directions.size;
    if (placed.length === 0) return [[posed, 0, "-", "-", "-", "-", capture.report.judgement.verdict]];
    return [
      [
        posed,
        placed.length / posed,
        percentile(errors, 0.5),
        percentile(errors, 1),
        fitting.length / placed.length,
        percentile(
          placed.map(({ uncertaintyDeg }) => uncertaintyDeg),
          0.5,
        ),
        capture.report.judgement.verdict,
      ],
    ];
  },
};

const { values, positionals } = parseArgs({
  args: process.argv.slice(3),
  allowPositionals: true,
  options: { save: { type: "string" }, only: { type: "string" } },
});
const [folder, ...names] = positionals;
if (folder === undefined) {
  process.stderr.write(
    "expected a folder of captures, found none: evaluate capture-subsets FOLDER [NAME ...]\n",
  );
  process.exit(2);
}
const truths = (await readTruths(folder)).filter(
  ({ name, directions }) => directions.size > 0 && (names.length === 0 || names.includes(name)),
);
const captures: Capture[] = [];
for (const truth of truths)
  for (const subset of SUBSETS)
    if (subset.name.includes(values.only ?? "")) captures.push(await audited(folder, truth, subset));
const topics = [part, gaps, claimedGaps].map((topic) => renderTopic(topic, captures));
const text = [...topics, together()].join("\n");
process.stdout.write(text);
if (values.save !== undefined) await writeFile(values.save, text);

/** The audit of a part, copied into a folder of its own. */
async function audited(from: string, truth: CaptureTruth, { name, stays, exif }: Subset): Promise<Capture> {
  const files = [...truth.directions].sort(([a], [b]) => (a < b ? -1 : 1));
  const frame = frameOf(truth.up ?? [0, 0, 1]);
  const place = await mkdtemp(join(tmpdir(), "goodgate-subset-"));
  try {
    const photos = join(place, truth.name);
    await mkdir(photos);
    for (const [k, [file, direction]] of files.entries()) {
      if (!stays((placeOf(frame, direction).azimuthDeg + 360) % 360, k)) continue;
      const source = join(from, truth.name, file);
      if (exif === false) await writeFile(join(photos, file), withoutExif(await readFile(source)));
      else await copyFile(source, join(photos, file));
    }
    const report = await audit(photos, { cache: true });
    process.stderr.write(`${truth.name}, ${name}: ${report.judgement.verdict}\n`);
    // What is left out is no view of this part.
    const left = new Set(report.facts.photos.map(({ file }) => file));
    const directions = new Map([...truth.directions].filter(([file]) => left.has(file)));
    return { truth: { ...truth, name: `${truth.name}, ${name}`, directions }, report };
  } finally {
    await rm(place, { recursive: true, force: true });
  }
}

function together(): string {
  const placed = captures.map(placedErrors);
  const each = placed.flat();
  const shares = placed.flatMap((own) => (own.length === 0 ? [] : [withinTwice(own)]));
  const posed = captures.reduce((sum, { truth }) => sum + truth.directions.size, 0);
  const errors = each.map(({ error }) => error);
  const stated = each.map(({ uncertaintyDeg }) => uncertaintyDeg);
  const figures: readonly (readonly [string, number])[] = [
    ["share placed", each.length / posed],
    ["median error, degrees", percentile(errors, 0.5)],
    ["95 of 100 within, degrees", percentile(errors, 0.95)],
    ["largest, degrees", percentile(errors, 1)],
    ["within twice what is stated", withinTwice(each)],
    ["median of what is stated, degrees", percentile(stated, 0.5)],
    [
      "parts of which 95 of 100 photos lie within twice",
      shares.filter((share) => share >= 0.95).length / shares.length,
    ],
  ];
  const lines = figures.map(([what, value]) => `| ${what} | ${Math.round(100 * value) / 100} |`);
  return ["", "## All parts together", "", "| of all photos | |", "| --- | ---: |", ...lines, ""].join("\n");
}

function withinTwice(placed: ReturnType<typeof placedErrors>): number {
  return placed.filter(({ error, uncertaintyDeg }) => error <= 2 * uncertaintyDeg).length / placed.length;
}
