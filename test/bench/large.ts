/**
 * How time and memory of a whole audit grow with a large set: photos made from the 70 of the bench, or links to five of
 * them. Memory is that of the whole process, threads included, at every hundred photos and pairs.
 *
 * usage: node build/test/bench/large.js (--photos N | --links N) [--jobs N] [--save]
 */
import { execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm, symlink, writeFile } from "node:fs/promises";
import { loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { audit, type Report } from "#goodgate/index.js";
import { benchPhotos, HEIGHT_PX, manyPhotos, WIDTH_PX } from "./photos.js";
import { machineInWords } from "./table.js";

const root = fileURLToPath(new URL("../../../", import.meta.url));
const cache = join(root, ".cache");
const MAKE = fileURLToPath(new URL("make-photos.js", import.meta.url));
const say = (line: string): void => console.error(line);

interface Sample {
  readonly stage: string;
  readonly done: number;
  readonly of: number;
  readonly seconds: number;
  readonly mib: number;
}

/** What one stage of the audit took. */
interface StageCost {
  readonly wallS: number;
  /** User and system, of all threads. */
  readonly cpuS: number;
  /** Most memory of the whole process while it ran. */
  readonly peakMib: number;
}

const STAGES = ["photos", "pairs", "set"] as const;
type Stage = (typeof STAGES)[number];

interface Measured {
  readonly samples: readonly Sample[];
  readonly stages: Readonly<Record<Stage, StageCost>>;
  readonly seconds: number;
  readonly peakMib: number;
  readonly report: Report;
}

const STEP = 100;
/** How often memory is looked at, ms. */
const WATCH_MS = 100;

async function measured(folder: string, jobs: number): Promise<Measured> {
  const start = performance.now();
  const seconds = (): number => (performance.now() - start) / 1000;
  const mib = (): number => process.memoryUsage.rss() / 2 ** 20;
  const samples: Sample[] = [];
  const meter = new StageMeter();
  const report = await audit(folder, {
    jobs,
    cache: false,
    onProgress: ({ stage, done, of }) => {
      if (done === of) meter.end(stage);
      // The far pairs that tell a turned subject are few; the pairs proper are hundreds.
      if (done % (stage === "photos" ? STEP : 10 * STEP) !== 0 && done !== of) return;
      samples.push({ stage, done, of, seconds: seconds(), mib: mib() });
      say(`${stage} ${done} of ${of}: ${seconds().toFixed(0)} s, ${mib().toFixed(0)} MiB`);
    },
  });
  meter.end("set");
  const peakMib = process.resourceUsage().maxRSS / 1024;
  return { samples, stages: meter.stages(), seconds: seconds(), peakMib, report };
}

/** Time and memory between the ends of stages. A stage may end twice: pairs are compared in two goes. */
class StageMeter {
  readonly #costs = new Map<Stage, StageCost>();
  readonly #watch: NodeJS.Timeout;
  #wallMs = performance.now();
  #cpu = process.cpuUsage();
  #peakMib = 0;

  constructor() {
    this.#watch = setInterval(() => {
      this.#peakMib = Math.max(this.#peakMib, process.memoryUsage.rss() / 2 ** 20);
    }, WATCH_MS);
  }

  end(stage: Stage): void {
    const { user, system } = process.cpuUsage(this.#cpu);
    const before = this.#costs.get(stage);
    this.#costs.set(stage, {
      wallS: (before?.wallS ?? 0) + (performance.now() - this.#wallMs) / 1000,
      cpuS: (before?.cpuS ?? 0) + (user + system) / 1e6,
      peakMib: Math.max(before?.peakMib ?? 0, this.#peakMib),
    });
    this.#wallMs = performance.now();
    this.#cpu = process.cpuUsage();
    this.#peakMib = 0;
  }

  stages(): Record<Stage, StageCost> {
    clearInterval(this.#watch);
    const none = { wallS: 0, cpuS: 0, peakMib: 0 };
    return Object.fromEntries(STAGES.map((stage) => [stage, this.#costs.get(stage) ?? none])) as Record<
      Stage,
      StageCost
    >;
  }
}

/** What one number of photos takes, a row of the table of growth. */
function growthRow(count: number, { stages, seconds, peakMib, report }: Measured): string {
  const all = STAGES.map((stage) => stages[stage]);
  const cpuS = all.reduce((sum, stage) => sum + stage.cpuS, 0);
  const each = (s: number): string => ((1000 * s) / count).toFixed(0);
  return `| ${[
    count,
    report.facts.pairs.length,
    seconds.toFixed(0),
    each(seconds),
    each(cpuS),
    ...all.map((stage) => each(stage.cpuS)),
    ...all.map((stage) => stage.peakMib.toFixed(0)),
    peakMib.toFixed(0),
    loadavg()[0].toFixed(1),
  ].join(" | ")} |`;
}

const GROWTH_HEAD = `## How cost grows with the number of photos

CPU is user and system of all threads, ms a photo; memory is that of the whole process, MiB. Runs of one after another, each
alone in its process; the load of the machine (two cores) at the end of each stands beside it, since other work lengthens
wall times and, less so, CPU times.

| photos | pairs | wall, s | wall a photo, ms | CPU a photo, ms | - of it photos | - pairs | - the whole set | memory: photos | pairs | the whole set | at most | load |
|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|--:|
`;

/** Links to the first five photos, so many in all. */
async function links(count: number): Promise<string> {
  const base = await benchPhotos(cache, say);
  const folder = await mkdtemp(join(tmpdir(), "goodgate-links-"));
  for (let i = 0; i < count; i++) {
    const photo = `IMG_${String(2 * (i % 5) + 1).padStart(4, "0")}.jpg`;
    await symlink(join(base, photo), join(folder, `jug_${String(i + 1).padStart(5, "0")}.jpg`));
  }
  return folder;
}

function page(title: string, jobs: number, { samples, seconds, peakMib, report }: Measured): string {
  const rows = samples.map((s, i) => {
    const last = samples[i - 1];
    const from = last !== undefined && last.stage === s.stage && last.of === s.of ? last : undefined;
    const each = ((s.seconds - (from?.seconds ?? last?.seconds ?? 0)) / (s.done - (from?.done ?? 0))) * 1000;
    return `| ${s.stage} | ${s.done} of ${s.of} | ${s.seconds.toFixed(1)} | ${each.toFixed(0)} | ${s.mib.toFixed(0)} |`;
  });
  const twins = report.judgement.findings.filter(({ check }) => check === "twin-photos");
  return `## ${title}

${report.facts.photos.length} photos, ${jobs} jobs: ${seconds.toFixed(0)} s in all, at most ${peakMib.toFixed(0)} MiB. ${report.facts.pairs.length} pairs in the report,
${twins.length} groups of twins with ${twins.reduce((sum, { photos }) => sum + photos.length, 0)} photos. Machine: ${machineInWords()}.

| step | done | s | ms each | MiB |
|---|--:|--:|--:|--:|
${rows.join("\n")}
`;
}

const { values } = parseArgs({
  options: {
    photos: { type: "string" },
    links: { type: "string" },
    jobs: { type: "string", default: "2" },
    save: { type: "boolean", default: false },
  },
});
const count = Number(values.photos ?? values.links);
const jobs = Number(values.jobs);
if (!Number.isInteger(count) || count < 1 || (values.photos === undefined) === (values.links === undefined))
  throw new Error("usage: large.js (--photos N | --links N) [--jobs N] [--save]");
// Making photos takes memory, too: in a process of its own it is not counted.
if (values.links === undefined) execFileSync(process.execPath, [MAKE, String(count)], { stdio: "ignore" });
const folder = values.links === undefined ? await manyPhotos(cache, count, say) : await links(count);
try {
  const title =
    values.links === undefined
      ? `${count} photos of ${WIDTH_PX} x ${HEIGHT_PX} px, made from 70`
      : `${count} links to five photos of ${WIDTH_PX} x ${HEIGHT_PX} px`;
  const found = await measured(folder, jobs);
  const text = page(title, jobs, found);
  const row = growthRow(count, found);
  console.log(`${text}\n${row}`);
  if (values.save) await save(values.links === undefined ? "photos" : "links", text, row);
} finally {
  if (values.links !== undefined) await rm(folder, { recursive: true });
}

/** The page holds the table of growth, a row each number of photos, and one section each of many photos and many links. */
async function save(sort: "photos" | "links", text: string, row: string): Promise<void> {
  const path = join(root, "docs", "large-sets.md");
  const head = `# Large sets\n\nWritten by \`node build/test/bench/large.js --photos N --save\`, once each N, and \`... --links N --save\`; see test/bench/.\n`;
  const old = (await readFile(path, "utf8").catch(() => head)).split(/^(?=## )/m).slice(1);
  const section = (start: RegExp): string | undefined => old.find((one) => start.test(one));
  const rows = section(/^## How cost grows/)?.match(/^\| \d.*$/gm) ?? [];
  const number = (line: string): number => Number.parseInt(line.slice(2), 10);
  const kept = rows.filter((line) => sort === "links" || number(line) !== number(row));
  const growth = [...kept, ...(sort === "links" ? [] : [row])].sort((a, b) => number(a) - number(b));
  // Of the sets of photos, the largest is shown step by step.
  const largest = sort === "photos" && number(growth.at(-1) ?? "") === number(row);
  const sections = [
    GROWTH_HEAD + growth.join("\n"),
    largest ? text : section(/^## \d+ photos/),
    sort === "links" ? text : section(/^## \d+ links/),
  ];
  const shown = sections.filter((one) => one !== undefined).map((one) => `${one.trimEnd()}\n`);
  await writeFile(path, [head, ...shown].join("\n"));
}
