/**
 * Evaluates shaken photos: movements of known length put into sharp sets, singly and in runs, and what is said of each.
 * usage: node build/test/evaluate/shake.js [--captures FOLDER] [--only WORD,...] [--sets N] [--save]
 * Rendered rings are kept in .cache/evaluate-shake, and the facts of each set, so that limits can be tried without
 * measuring again; --fresh measures all of them anew.
 */
import { existsSync } from "node:fs";
import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { judge } from "#goodgate/checks/index.js";
import { createRandom } from "#goodgate/demo/random.js";
import { audit } from "#goodgate/index.js";
import { edgeBlurs, shakeLengthPx } from "#goodgate/measure/set/edge-blur.js";
import { median } from "#goodgate/measure/statistics.js";
import type { Facts } from "#goodgate/types/facts.js";
import { finePhotos, renderedRing, type SharpSet } from "./shake-sets.js";
import { renderShakes, type ShakeOutcome } from "./shake-tables.js";
import { allShakes, type Shake } from "./shakes.js";

const { values } = parseArgs({
  options: {
    captures: { type: "string" },
    only: { type: "string", default: "" },
    sets: { type: "string", default: "16" },
    fresh: { type: "boolean", default: false },
    save: { type: "boolean", default: false },
  },
});
const kept = join(".cache", "evaluate-shake");
const ring = (photos: number) => ({ rings: [{ elevationDeg: 20, photos, startDeg: 0, spanDeg: 360 }] });
const TWO = { widthPx: 1632, heightPx: 1224 };
const TWELVE = { widthPx: 4032, heightPx: 3024 };

/** @property sets how many of the sets with six shaken photos each are tried: large photos take long */
const BASES: readonly { readonly name: string; readonly sets: number; make(): Promise<SharpSet> }[] = [
  {
    name: "jug, 2 MP",
    sets: 16,
    make: () =>
      renderedRing("jug, 2 MP", { seed: 11, subject: "jug", lamps: "three", ...TWO, ...ring(24) }, kept),
  },
  {
    name: "toad, 2 MP",
    sets: 16,
    make: () =>
      renderedRing("toad, 2 MP", { seed: 12, subject: "toad", lamps: "overcast", ...TWO, ...ring(24) }, kept),
  },
  {
    name: "trunk, 12 MP",
    sets: 4,
    make: () =>
      renderedRing(
        "trunk, 12 MP",
        { seed: 13, subject: "trunk", lamps: "two opposite", ...TWELVE, ...ring(18) },
        kept,
      ),
  },
  ...(values.captures === undefined ? [] : ["gold-cape", "sandstone-head"]).map((name) => ({
    name,
    sets: 16,
    make: () => finePhotos(values.captures!, name, 30),
  })),
];

/** Shaken photos of one set. */
const SHAKEN = 6;

/** Which photos of a set are shaken: far from one another, or two runs of three. */
function places(photos: number, set: number): number[] {
  const start = (5 * set) % photos;
  const apart = Math.floor(photos / SHAKEN);
  return Array.from({ length: SHAKEN }, (_, k) => {
    const offset = set % 2 === 0 ? k * apart : k < SHAKEN / 2 ? k : Math.floor(photos / 2) + k;
    return (start + offset) % photos;
  });
}

/** What was measured of a set with some photos shaken. */
interface ShakenSet {
  readonly base: string;
  readonly inRun: boolean;
  readonly shakes: Readonly<Record<string, Shake>>;
  readonly facts: Facts;
}

async function measureSets(base: SharpSet, count: number): Promise<ShakenSet[]> {
  process.env.GOODGATE_CACHE = await mkdtemp(join(tmpdir(), "goodgate-shake-cache-"));
  const folder = await mkdtemp(join(tmpdir(), "goodgate-shake-"));
  try {
    for (const [i, file] of base.files.entries()) await base.writeSharp(i, join(folder, file));
    const shakes = allShakes(createRandom(31));
    const measured: ShakenSet[] = [];
    for (let set = 0; set < count; set++) {
      const shaken = places(base.files.length, set);
      const own: Record<string, Shake> = {};
      for (const [k, at] of shaken.entries()) {
        const file = base.files[at]!;
        own[file] = shakes[SHAKEN * set + k]!;
        await base.writeShaken(at, join(folder, file), own[file]);
      }
      const { facts } = await audit(folder, { jobs: 1, cache: true });
      measured.push({ base: base.name, inRun: set % 2 === 1, shakes: own, facts });
      for (const at of shaken) await base.writeSharp(at, join(folder, base.files[at]!));
      process.stderr.write(`${base.name}: ${set + 1} of ${count} sets\n`);
    }
    return measured;
  } finally {
    await rm(folder, { recursive: true });
    await rm(process.env.GOODGATE_CACHE, { recursive: true });
  }
}

const BLUR_CHECKS = ["soft-photo", "missed-focus"];

function outcomesOf({ base, inRun, shakes, facts }: ShakenSet): ShakeOutcome[] {
  const { findings } = judge(facts);
  const blurs = edgeBlurs(facts);
  const usual = median(facts.photos.map(({ measures }) => measures.laplacianVariance.value));
  return facts.photos.map(({ file, measures }, i) => {
    const shake = shakes[file];
    const finding = findings.find(
      ({ about, check, photos }) => about === "photo" && BLUR_CHECKS.includes(check) && photos.includes(file),
    );
    const blur = blurs[i];
    return {
      base,
      ...(shake && { shake, inRun }),
      told: finding !== undefined,
      calledShaken: finding?.message.includes("is shaken") ?? false,
      plain: measures.laplacianVariance.value < usual / 2,
      ...(blur && { widestPx: blur.widestPx, narrowestPx: blur.narrowestPx, lengthPx: shakeLengthPx(blur) }),
      ...(blur?.grownPx !== undefined && { grownPx: blur.grownPx }),
    };
  });
}

await mkdir(kept, { recursive: true });
const outcomes: ShakeOutcome[] = [];
for (const { name, sets, make } of BASES.filter(({ name }) =>
  values.only.split(",").some((word) => name.includes(word)),
)) {
  const path = join(kept, `${name.replaceAll(/\W+/g, "-")}.json`);
  if (values.fresh || !existsSync(path)) {
    const own = await measureSets(await make(), Math.min(sets, Number(values.sets)));
    await writeFile(path, JSON.stringify(own));
  }
  outcomes.push(...(JSON.parse(await readFile(path, "utf8")) as ShakenSet[]).flatMap(outcomesOf));
}
const text = renderShakes(outcomes);
process.stdout.write(text);
if (values.save) await writeFile(join("docs", "evaluation-shake.md"), text);
