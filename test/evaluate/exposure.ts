/**
 * Evaluates exposure and colour: known changes laid over rendered walks, what is said of them, what is left once it is
 * followed, and what a second run then says.
 * usage: node build/test/evaluate/exposure.js [--cases N] [--save]
 * Drawn walks are kept in .cache/evaluate-exposure.
 */
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { audit } from "#goodgate/index.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { Finding } from "#goodgate/types/judgement.js";
import type { Report } from "#goodgate/types/report.js";
import { changeOf, PATTERNS, type Pattern, type Told } from "./exposure-cases.js";
import { burntOut, twins } from "./exposure-others.js";
import { type DrawnWalk, drawnWalk, takePhoto, WALKS } from "./exposure-walks.js";
import { applyGains } from "./level-photo.js";
import { percentile, type Row, renderSection } from "./table.js";

const { values } = parseArgs({
  options: { cases: { type: "string", default: "66" }, save: { type: "boolean", default: false } },
});
const drawn = join(".cache", "evaluate-exposure");
process.env.GOODGATE_CACHE = await mkdtemp(join(tmpdir(), "goodgate-exposure-cache-"));

/** A change beyond this is to be said, stops: the limits of exposure-step and colour-cast. */
const TELLS: readonly Told[] = ["said", "no EXIF", "not said"];
const LEVELLING = ["exposure-step", "colour-cast"];

interface Case {
  readonly walk: DrawnWalk;
  readonly pattern: Pattern;
  readonly told: Told;
}

interface Outcome extends Case {
  readonly said: readonly Finding[];
  readonly second: readonly Finding[];
  /** What is left of each photo's exposure and colour against the middle of the set, stops. */
  readonly left: readonly number[];
  readonly before: readonly number[];
}

async function evaluateCase({ walk, pattern, told }: Case): Promise<Outcome> {
  const folder = await mkdtemp(join(tmpdir(), "goodgate-exposure-"));
  try {
    const { photos } = walk.plan;
    const changes = photos.map((_, i) => changeOf(pattern, i, walk, walk.plan.options.seed));
    for (const [i, { file }] of photos.entries()) {
      await writeFile(join(folder, file), await takePhoto(walk, i, changes[i], told));
    }
    const first = await auditAll(folder, photos.length);
    const said = levelling(first);
    const gains = photos.map(({ file }) => gainsOf(first.facts, said, file));
    for (const [i, { file }] of photos.entries()) {
      if (gains[i].some((gain) => gain !== 1)) {
        const path = join(folder, file);
        await writeFile(path, await applyGains(await readFile(path), gains[i]));
      }
    }
    const second = said.length === 0 ? first : await auditAll(folder, photos.length);
    const channels = changes.map(({ stops, red, blue }) => [stops + red, stops, stops + blue]);
    const after = channels.map((stops, i) => stops.map((stop, c) => stop + Math.log2(gains[i][c])));
    return {
      walk,
      pattern,
      told,
      said,
      second: levelling(second),
      left: spreadOf(after),
      before: spreadOf(channels),
    };
  } finally {
    await rm(folder, { recursive: true });
  }
}

/** An audit that read all photos: on a busy machine a photo may run into its time limit. */
async function auditAll(folder: string, photos: number): Promise<Report> {
  for (let tries = 0; tries < 3; tries++) {
    const report = await audit(folder, { jobs: 1, cache: true });
    if (report.facts.photos.length === photos) return report;
  }
  throw new Error(`${folder}: not all of ${photos} photos could be read`);
}

function levelling({ judgement }: Report): Finding[] {
  return judgement.findings.filter(
    ({ check, severity }) => severity !== "note" && (LEVELLING.includes(check) || check === "light-change"),
  );
}

/** The factors that following the findings multiplies a photo by: those of the report for each photo that is named, for all photos where all are to be levelled. */
function gainsOf({ photos }: Facts, said: readonly Finding[], file: string): number[] {
  const photo = photos.find((other) => other.file === file)!;
  const { redGain, greenGain, blueGain } = photo.measures;
  const meant = said.some(
    ({ photos: named, advice }) => named.includes(file) || advice.includes("whole set"),
  );
  return meant ? [redGain, greenGain, blueGain].map((gain) => gain?.value ?? 1) : [1, 1, 1];
}

/** Largest distance of each photo's channels from the middle of all photos, stops. */
function spreadOf(stops: readonly (readonly number[])[]): number[] {
  const middles = [0, 1, 2].map((c) =>
    percentile(
      stops.map((photo) => photo[c]),
      0.5,
    ),
  );
  return stops.map((photo) => Math.max(...photo.map((stop, c) => Math.abs(stop - middles[c]))));
}

const walks = WALKS.map((_, k) => drawnWalk(k, drawn));
const cases: Case[] = [];
for (const [k] of WALKS.entries()) {
  for (const [p, pattern] of PATTERNS.entries()) {
    const w = (p + k) % WALKS.length;
    cases.push({ walk: walks[w]!, pattern, told: TELLS[(p + 2 * k) % TELLS.length] });
  }
}
const outcomes: Outcome[] = [];
for (const one of cases.slice(0, Number(values.cases))) {
  const outcome = await evaluateCase(one);
  outcomes.push(outcome);
  process.stderr.write(`${describe(outcome)}\n`);
}
await rm(process.env.GOODGATE_CACHE, { recursive: true });

function describe({ walk, pattern, told, said, second, left, before }: Outcome): string {
  const cells = [
    pattern.name,
    walk.name,
    told,
    percentile(before, 1).toFixed(2),
    `${said.length}`,
    percentile(left, 0.95).toFixed(2),
    percentile(left, 1).toFixed(2),
    second.length === 0 ? "silent" : second.map(({ check }) => check).join(", "),
  ];
  return `| ${cells.join(" | ")} |`;
}

const wrong = outcomes.filter(({ pattern }) => pattern.wrong);
const right = outcomes.filter(({ pattern }) => !pattern.wrong);
const rows: Row[] = [
  {
    what: `sets with something wrong of which something is said, share of ${wrong.length}`,
    measured: [wrong.filter(({ said }) => said.length > 0).length / wrong.length],
    bar: [0.95],
    atLeast: true,
  },
  {
    what: `sets in order of which something is said, of ${right.length}`,
    measured: [right.filter(({ said }) => said.length > 0).length],
    bar: [0],
  },
  {
    what: "instructions a set (median/max)",
    measured: [
      percentile(
        wrong.map(({ said }) => said.length),
        0.5,
      ),
      Math.max(...wrong.map(({ said }) => said.length)),
    ],
    bar: [6, 6],
  },
  {
    what: "photos within .15 stop of the rest in every channel once it is followed, share of all",
    measured: [shareWithin(wrong.flatMap(({ left }) => left))],
    bar: [0.95],
    atLeast: true,
  },
  { what: "the same before", measured: [shareWithin(wrong.flatMap(({ before }) => before))] },
  {
    what: `second runs that are silent, share of ${outcomes.length}`,
    measured: [outcomes.filter(({ second }) => second.length === 0).length / outcomes.length],
    bar: [1],
    atLeast: true,
  },
];

function shareWithin(stops: readonly number[]): number {
  return stops.filter((stop) => stop <= 0.15).length / stops.length;
}

const text = `# Evaluation of exposure and colour

Printed by \`node build/test/evaluate/exposure.js --save\`. Stops are of linear light.

${renderSection({
  title: "What is said, and what is left once it is followed",
  about:
    "Two rings of 18 rendered photos around three props, one of them four stops under white; gains laid over them in linear light before noise, clipping and JPEG; EXIF that says so, is absent, or does not. Followed: the photos that findings name, or all where all are to be levelled, decoded, multiplied in linear light by the factors of the report, clipped and stored again as JPEG.",
  rows,
})}
| what was done | walk | EXIF | most, stops | instructions | left, 95th percentile | left, most | second run |
| --- | --- | --- | ---: | ---: | ---: | ---: | --- |
${outcomes.map(describe).join("\n")}

${[burntOut, twins].map((section) => renderSection(section(walks))).join("\n")}`;
process.stdout.write(text);
if (values.save) await writeFile(join("docs", "evaluation-exposure.md"), text);
