/**
 * How time and memory of a whole audit grow with a large set: photos made from the 70 of the bench, or links to five of
 * them. Memory is that of the whole process, threads included, at every hundred photos and pairs.
 *
 * usage: node build/test/bench/large.js (--photos N | --links N) [--jobs N] [--save]
 */
import { execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm, symlink, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
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

interface Measured {
  readonly samples: readonly Sample[];
  readonly seconds: number;
  readonly peakMib: number;
  readonly report: Report;
}

const STEP = 100;

async function measured(folder: string, jobs: number): Promise<Measured> {
  const start = performance.now();
  const seconds = (): number => (performance.now() - start) / 1000;
  const mib = (): number => process.memoryUsage().rss / 2 ** 20;
  const samples: Sample[] = [];
  const report = await audit(folder, {
    jobs,
    cache: false,
    onProgress: ({ stage, done, of }) => {
      // The far pairs that tell a turned subject are few; the pairs proper are hundreds.
      if (done % (stage === "photos" ? STEP : 10 * STEP) !== 0 && done !== of) return;
      samples.push({ stage, done, of, seconds: seconds(), mib: mib() });
      say(`${stage} ${done} of ${of}: ${seconds().toFixed(0)} s, ${mib().toFixed(0)} MiB`);
    },
  });
  return { samples, seconds: seconds(), peakMib: process.resourceUsage().maxRSS / 1024, report };
}

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
  const text = page(title, jobs, await measured(folder, jobs));
  console.log(text);
  if (values.save) await replaceSection(values.links === undefined ? "photos" : "links", text);
} finally {
  if (values.links !== undefined) await rm(folder, { recursive: true });
}

/** The page holds one section of each sort. */
async function replaceSection(sort: "photos" | "links", text: string): Promise<void> {
  const path = join(root, "docs", "large-sets.md");
  const head = `# Large sets\n\nWritten by \`node build/test/bench/large.js --photos N --save\` and \`... --links N --save\`; see test/bench/.\n`;
  const old = (await readFile(path, "utf8").catch(() => head)).split(/^(?=## )/m).slice(1);
  const isLinks = (section: string): boolean => /^## \d+ links/.test(section);
  const kept = old.filter((section) => isLinks(section) !== (sort === "links"));
  const sections = sort === "links" ? [...kept, text] : [text, ...kept];
  await writeFile(path, [head, ...sections.map((section) => `${section.trimEnd()}\n`)].join("\n"));
}
