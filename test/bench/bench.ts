/**
 * How fast goodgate audits 70 photos of 12 megapixels, beside decoding alone and two scripts over a general-purpose
 * vision library. All run in turn, A B A B, so that what else the machine does falls on all of them.
 *
 * usage: node build/test/bench/bench.js [--rounds N] [--no-peers] [--capture FOLDER] [--save], or --reruns
 * for second runs alone; FOLDER holds a real capture, which gets a table and a column of its own
 */
import { spawnSync } from "node:child_process";
import { readdir, writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { benchPhotos, HEIGHT_PX, PHOTO_COUNT, photosInWords, WIDTH_PX } from "./photos.js";
import { rerunBars } from "./reruns.js";
import { type Cost, medianCost, type Run, runMeasured } from "./run.js";
import { stageTable } from "./stages.js";
import { startUpBars } from "./start-up.js";
import { type Bar, barTable, costTable, machineInWords, type Row } from "./table.js";

interface Contender {
  readonly name: string;
  readonly command: string;
  readonly args: readonly string[];
  /** What its output must show: that the work was done. */
  readonly didTheWork: (run: Run) => boolean;
}

const root = fileURLToPath(new URL("../../../", import.meta.url));
const python = "/usr/bin/python3";
const DECODING = "decoding alone, 2 in flight";
const SAME_WORK = "the same work scripted (SIFT, neighbours +-3), 2 processes";
const LESS_WORK = "much less work scripted (ORB, next neighbour), the library's own threads";
const say = (line: string): void => console.error(line);

const { values } = parseArgs({
  options: {
    rounds: { type: "string", default: "3" },
    "no-peers": { type: "boolean", default: false },
    capture: { type: "string" },
    reruns: { type: "boolean", default: false },
    save: { type: "boolean", default: false },
  },
});
const rounds = Number(values.rounds);
if (!Number.isInteger(rounds) || rounds < 1)
  throw new Error(`expected --rounds 1 or more, found ${values.rounds}`);

/** What a folder holds, as the contenders count it. */
interface Photos {
  readonly photos: number;
  readonly megapixels?: number;
}

const bench = { photos: PHOTO_COUNT, megapixels: Math.round((PHOTO_COUNT * WIDTH_PX * HEIGHT_PX) / 1e6) };
const folder = await benchPhotos(join(root, ".cache"), say);
if (values.reruns) {
  console.log(barTable(await rerunBars(root, folder, rounds, say)));
  process.exit();
}
const contenders = [...ownContenders(folder, bench), ...(values["no-peers"] ? [] : peers(folder))];
const before = machineInWords();
const costs = await runInTurn(contenders, rounds);
const rows = contenders.map(({ name }, i) => ({ name, cost: medianCost(costs[i]) }));
const bars = [...costBars(rows), ...(await rerunBars(root, folder, rounds, say)), ...startUpBars(root)];
const report = [
  costTable(rows),
  `Medians of ${rounds}, run in turn. goodgate's wall in each round: ${costs[0].map((cost) => `${cost.wallS.toFixed(1)} s`).join(", ")}.`,
  barTable(bars),
  ...(values.capture === undefined ? [] : [await captureTable(values.capture)]),
  `Photos: ${photosInWords}.`,
  `Machine: ${before} before, ${machineInWords().split(", ").at(-1)} after. Wall time counts only where nothing else ran.`,
  "## Where the time goes",
  "Medians over ten of the photos and the pairs between them, each stage alone on one thread.",
  await stageTable([
    { name: "rendered set", folder },
    ...(values.capture === undefined ? [] : [{ name: basename(values.capture), folder: values.capture }]),
  ]),
  "How cost grows with the number of photos: [large-sets.md](large-sets.md).",
].join("\n\n");
console.log(report);
if (values.save) await writeFile(join(root, "docs", "speed.md"), page(report));

/** What the audit may cost, alone and beside the others that ran. */
function costBars([{ cost: own }, ...others]: readonly Row[]): Bar[] {
  const beside = (name: string) => others.find((row) => row.name === name)?.cost;
  const [decoding, sameWork, lessWork] = [DECODING, SAME_WORK, LESS_WORK].map(beside);
  return [
    { what: "wall on two cores", value: own.wallS, bar: 25, unit: "s" },
    { what: "peak memory", value: own.peakMib, bar: 400, unit: "MiB" },
    ...(decoding
      ? [
          {
            what: "CPU over decoding alone",
            value: own.cpuS / decoding.cpuS,
            bar: 4,
            stretch: 2.5,
            unit: "times",
          } as const,
        ]
      : []),
    ...(sameWork
      ? [
          {
            what: "CPU over the same work scripted",
            value: own.cpuS / sameWork.cpuS,
            bar: 0.4,
            stretch: 0.25,
            unit: "times",
          } as const,
        ]
      : []),
    ...(lessWork
      ? [
          {
            what: "wall over much less work scripted",
            value: own.wallS / lessWork.wallS,
            bar: 1,
            stretch: 0.6,
            unit: "times",
          } as const,
        ]
      : []),
  ];
}

/** The audit of a real capture beside decoding it, as tables in words. */
async function captureTable(capture: string): Promise<string> {
  const photos = (await readdir(capture)).filter((name) => /\.jpe?g$/i.test(name)).length;
  const own = ownContenders(capture, { photos });
  const found = await runInTurn(own, rounds);
  return [
    `A real capture, ${photos} photos (${basename(capture)}):`,
    costTable(own.map(({ name }, i) => ({ name, cost: medianCost(found[i]!) }))),
  ].join("\n\n");
}

function ownContenders(folder: string, { photos, megapixels }: Photos): Contender[] {
  return [
    {
      name: "goodgate check, whole, 2 jobs",
      command: process.execPath,
      args: ["bin/goodgate.js", "check", folder, "--json", "--no-cache", "--jobs", "2"],
      didTheWork: (run) => JSON.parse(run.stdout).photos?.length === photos,
    },
    {
      name: DECODING,
      command: process.execPath,
      args: [fileURLToPath(new URL("decode-only.js", import.meta.url)), folder],
      didTheWork: (run) => {
        const done = JSON.parse(run.stdout);
        return done.photos === photos && (megapixels ?? done.megapixels) === done.megapixels;
      },
    },
  ];
}

function peers(photos: string): Contender[] {
  if (spawnSync(python, ["-c", "import cv2, numpy, PIL"]).status !== 0) {
    say(`no cv2, numpy and PIL under ${python}: the two scripts are left out`);
    return [];
  }
  const peer = (name: string, script: string, ...options: string[]): Contender => ({
    name,
    command: python,
    args: [join("test", "bench", script), photos, ...options],
    didTheWork: (run) => run.exitCode === 0 && run.stdout.length > 0,
  });
  return [peer(SAME_WORK, "peer_same_work.py", "--jobs", "2"), peer(LESS_WORK, "peer_opencv.py")];
}

async function runInTurn(all: readonly Contender[], times: number): Promise<Cost[][]> {
  const found: Cost[][] = all.map(() => []);
  for (let round = 0; round < times; round++) {
    for (const [i, contender] of all.entries()) {
      const run = await runMeasured(contender.command, contender.args, root);
      if (!contender.didTheWork(run)) {
        throw new Error(
          `${contender.name} did not do its work (exit ${run.exitCode}): ${run.stdout.slice(0, 300)}`,
        );
      }
      const { wallS, cpuS, peakMib } = run;
      found[i].push({ wallS, cpuS, peakMib });
      say(
        `round ${round + 1}: ${contender.name}: ${wallS.toFixed(1)} s wall, ${cpuS.toFixed(1)} s CPU, ${peakMib.toFixed(0)} MiB`,
      );
    }
  }
  return found;
}

function page(report: string): string {
  return `# Speed\n\nWritten by \`npm run bench -- --save\`; see test/bench/.\n\n${report}\n`;
}
