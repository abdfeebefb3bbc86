/**
 * Evaluates the copy that goes up: the best of many photos against every k-th and the sharpest, and levelling by known
 * changes laid over rendered walks.
 * usage: node build/test/evaluate/ready.js [--only most|level] [--cases N] [--save]
 */
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { defaultLimits } from "#goodgate/checks/index.js";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { audit, ready } from "#goodgate/index.js";
import { angleBetweenDirections, type Direction } from "#goodgate/measure/coverage/directions.js";
import { createRandom } from "#goodgate/measure/geometry/random.js";
import { type Candidate, choose } from "#goodgate/ready/choose.js";
import { gapsIn } from "#goodgate/ready/gaps.js";
import { type Change, changeOf, PATTERNS } from "./exposure-cases.js";
import { drawnWalk, takePhoto, WALKS } from "./exposure-walks.js";
import { percentile, type Row, renderSection, type Section } from "./table.js";

const { values } = parseArgs({
  options: {
    only: { type: "string" },
    cases: { type: "string", default: "6" },
    save: { type: "boolean", default: false },
  },
});

/** Photos that look at the same surface: matching holds up to here. */
const LINKED_DEG = 25;
const SEEN_DEG = 60;

interface Walk {
  readonly name: string;
  readonly candidates: readonly Candidate[];
}

/** Rings or a hemisphere, each photo a few degrees off its place, some sharper than others. */
function walkOf(kind: "one ring" | "two rings" | "hemisphere", count: number, seed: number): Walk {
  const random = createRandom(seed);
  const candidates = Array.from({ length: count }, (_, k): Candidate => {
    const rings = kind === "one ring" ? [15] : kind === "two rings" ? [10, 40] : [5, 25, 45, 70];
    const own = Math.floor((rings.length * k) / count);
    const at = (rings.length * k) / count - own;
    return {
      direction: {
        azimuthDeg: (360 * at + 4 * (random.next() - 0.5) + 360) % 360,
        elevationDeg: rings[own]! + 8 * (random.next() - 0.5),
      },
      qualityStops: 2 * (random.next() - 0.5),
      bytes: 1,
    };
  });
  return { name: `${kind}, ${count} photos`, candidates };
}

const GRID: readonly Direction[] = Array.from({ length: 10 }, (_, row) => row * 10).flatMap(
  (elevationDeg) => {
    const count = Math.max(1, Math.round(36 * Math.cos((elevationDeg * Math.PI) / 180)));
    return Array.from({ length: count }, (_, k) => ({ azimuthDeg: (360 * k) / count, elevationDeg }));
  },
);

function leastViews(candidates: readonly Candidate[], kept: readonly number[]): number {
  const seen = GRID.map(
    (normal) =>
      kept.filter((k) => angleBetweenDirections(candidates[k]!.direction!, normal) <= SEEN_DEG).length,
  );
  return Math.min(...seen);
}

function gaps(candidates: readonly Candidate[], kept: readonly number[]): number {
  return gapsIn(
    kept.map((k) => candidates[k]!.direction!),
    360,
    defaultLimits,
  );
}

function most(): Section {
  const rows: Row[] = [];
  for (const kind of ["one ring", "two rings", "hemisphere"] as const)
    for (const [count, wanted] of [
      [100, 40],
      [200, 60],
      [300, 70],
      [300, 80],
    ] as const) {
      const { name, candidates } = walkOf(kind, count, count + wanted);
      const all = [...candidates.keys()];
      const links = all.flatMap((a) =>
        all
          .slice(a + 1)
          .flatMap((b): [number, number][] =>
            angleBetweenDirections(candidates[a]!.direction!, candidates[b]!.direction!) < LINKED_DEG
              ? [[a, b]]
              : [],
          ),
      );
      const atFirst = gaps(candidates, all);
      const started = process.cpuUsage();
      const { kept } = choose(candidates, {
        most: wanted,
        mostBytes: Number.POSITIVE_INFINITY,
        links,
        opensGap: (list) => gaps(candidates, list) > atFirst,
      });
      const { user, system } = process.cpuUsage(started);
      const seconds = (user + system) / 1e6;
      const everyKth = all.filter(
        (k) => Math.floor((k * wanted) / count) !== Math.floor(((k - 1) * wanted) / count),
      );
      const sharpest = all
        .toSorted((a, b) => candidates[b]!.qualityStops - candidates[a]!.qualityStops)
        .slice(0, wanted);
      const [ours, kth, sharp] = [kept, everyKth, sharpest].map((list) => leastViews(candidates, list!));
      rows.push(
        {
          what: `${name}, the best ${wanted}: least views a direction, and as many by every k-th and the sharpest`,
          measured: [ours!, kth!, sharp!],
          bar: [Math.max(kth!, sharp!)],
          atLeast: true,
        },
        {
          what: "gaps then; by every k-th, by the sharpest, of all",
          measured: [gaps(candidates, kept), gaps(candidates, everyKth), gaps(candidates, sharpest), atFirst],
          bar: [Math.min(gaps(candidates, everyKth), gaps(candidates, sharpest))],
        },
        { what: "CPU, s", measured: [seconds], bar: [2] },
      );
    }
  const optimum: number[] = [];
  for (let seed = 1; seed <= 20; seed++) {
    const { candidates } = walkOf("two rings", 13, seed);
    const even = candidates.map((one) => ({ ...one, qualityStops: 0 }));
    const links = even.flatMap((_, a) => even.slice(a + 1).map((_, k): [number, number] => [a, a + 1 + k]));
    const { kept } = choose(even, {
      most: 8,
      mostBytes: Number.POSITIVE_INFINITY,
      links,
      opensGap: () => false,
    });
    let best = 0;
    for (const subset of subsets(13, 8)) best = Math.max(best, leastViews(even, subset));
    optimum.push(best === 0 ? 1 : leastViews(even, kept) / best);
  }
  rows.push({
    what: "8 of 13 photos, 20 walks: least views a direction over the best that any choice has (of all 1,287 tried), least",
    measured: [Math.min(...optimum)],
    bar: [0.95],
    atLeast: true,
  });
  return {
    title: "The best of many",
    about:
      "Directions are given, not worked out. A direction of the surface is seen in a photo up to 60 degrees off it; a gap is a step of over 25 degrees.",
    rows,
  };
}

function* subsets(count: number, size: number, from = 0): Generator<number[]> {
  if (size === 0) yield [];
  else
    for (let first = from; first <= count - size; first++)
      for (const rest of subsets(count, size - 1, first + 1)) yield [first, ...rest];
}

async function level(cases: number): Promise<Section> {
  const drawn = join(".cache", "evaluate-exposure");
  const wrong = PATTERNS.filter((pattern) => pattern.wrong);
  const rows: Row[] = [];
  const brightness: number[] = [];
  const colour: number[] = [];
  const holes: number[] = [];
  let [again, files, copied] = [0, 0, 0];
  for (let n = 0; n < cases; n++) {
    const walk = drawnWalk(n % WALKS.length, drawn);
    const pattern = wrong[(5 * n) % wrong.length]!;
    const root = await mkdtemp(join(tmpdir(), "goodgate-ready-"));
    try {
      const folder = join(root, "walk");
      await (await import("node:fs/promises")).mkdir(folder);
      const { photos } = walk.plan;
      const changes = photos.map((_, i): Change => changeOf(pattern, i, walk, walk.plan.options.seed));
      for (const [i, { file }] of photos.entries())
        await writeFile(join(folder, file), await takePhoto(walk, i, changes[i]!, "said"));
      const { manifest } = await ready(folder, join(root, "up"), { level: true, anyway: true });
      const gains = new Map(manifest.files.map((one) => [one.source, one.gains]));
      const left = photos.flatMap(({ file }, i) => {
        if (!gains.has(file)) return [];
        const { red = 1, green = 1, blue = 1 } = gains.get(file) ?? {};
        const { stops, red: warm, blue: cool } = changes[i]!;
        return [[stops + Math.log2(green), warm + Math.log2(red / green), cool + Math.log2(blue / green)]];
      });
      const middle = [0, 1, 2].map((c) =>
        percentile(
          left.map((one) => one[c]!),
          0.5,
        ),
      );
      brightness.push(...left.map(([stops]) => Math.abs(stops! - middle[0]!)));
      colour.push(
        ...left.flatMap(([, red, blue]) => [Math.abs(red! - middle[1]!), Math.abs(blue! - middle[2]!)]),
      );
      for (const { file, done } of manifest.files) {
        files++;
        if (!done.includes("levelled")) copied++;
        else if (holes.length < 40)
          holes.push(holesOf(await decodePhoto(await readFile(join(root, "up", file)))));
      }
      const second = await audit(join(root, "up"));
      again += second.judgement.findings.filter(
        ({ check, severity }) => /exposure-step|colour-cast|levelled/.test(check) && severity !== "note",
      ).length;
    } finally {
      await rm(root, { recursive: true });
    }
  }
  rows.push(
    {
      what: `${brightness.length} photos: brightness left against truth, stops, median / 95 %`,
      measured: [percentile(brightness, 0.5), percentile(brightness, 0.95)],
      bar: [0.1, 0.1],
    },
    {
      what: "red and blue against green left, stops, median / 95 %",
      measured: [percentile(colour, 0.5), percentile(colour, 0.95)],
      bar: [0.05, 0.05],
    },
    { what: "findings of exposure or colour in the copy", measured: [again], bar: [0] },
    { what: "photos copied without levelling, of all", measured: [copied, files] },
    {
      what: "empty codes between the 5th and the 95th percentile of a levelled photo's green, most",
      measured: [Math.max(0, ...holes)],
      bar: [0],
    },
  );
  return {
    title: "Levelling",
    about: `Steps, runs, rings, drifts and casts of known size over ${cases} rendered walks of 36 photos, copied by ready --level; what is left is held against truth, less the middle of the set.`,
    rows,
  };
}

function holesOf({ data }: { data: Uint8Array }): number {
  const counts = new Float64Array(256);
  for (let i = 1; i < data.length; i += 3) counts[data[i]!]!++;
  const all = data.length / 3;
  let [sum, holes] = [0, 0];
  for (const count of counts) {
    if (sum > 0.05 * all && sum < 0.95 * all && count === 0) holes++;
    sum += count;
  }
  return holes;
}

const sections = [
  ...(values.only === "level" ? [] : [most()]),
  ...(values.only === "most" ? [] : [await level(Number(values.cases))]),
];
const page = `# The copy that goes up\n\nWritten by \`node build/test/evaluate/ready.js --save\`.\n\n${sections.map(renderSection).join("\n")}`;
console.log(page);
if (values.save) await writeFile("docs/evaluation-ready.md", page);
