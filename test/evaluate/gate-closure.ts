/** Follows a report's advice on a rendered set with faults at random, until it passes. */
import { mkdtemp, readdir, readFile, rename, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { judge } from "#goodgate/checks/index.js";
import {
  cleanDemo,
  type Fault,
  type PhotoPlan,
  planSet,
  type SetPlan,
  writeSet,
} from "#goodgate/demo/index.js";
import { createRandom } from "#goodgate/demo/random.js";
import { audit } from "#goodgate/pipeline/audit.js";
import type { Finding, Judgement } from "#goodgate/types/judgement.js";
import { applyGains } from "./level-photo.js";

export interface Closure {
  readonly seed: number;
  /** What was put in, for the table. */
  readonly faults: readonly string[];
  /** Verdict of each run, the first on the set as it was made. */
  readonly verdicts: readonly Judgement["verdict"][];
  /** Accusations, after the first run, of photos that are good and had been told to be. */
  readonly turnedAgainst: readonly string[];
  /** What was asked for and cannot be done by following it. */
  readonly unclear: readonly string[];
}

/** More than this many rounds are not followed. */
const MOST_ROUNDS = 4;
const PHOTOS = 22;
const STEP_DEG = 360 / PHOTOS;
const ELEVATION_DEG = 22;
const PROPS = ["jug", "toad", "lamp"] as const;

const KINDS: readonly ((random: () => number) => Fault)[] = [
  (random) => ({ kind: "defocus", sigmaPx: 2.5 + 2 * random() }),
  (random) => ({ kind: "motion", lengthPx: 12 + 12 * random(), directionDeg: 180 * random() }),
  (random) => ({ kind: "exposure", stops: random() < 0.5 ? 0.9 : -0.9, said: false }),
  () => ({ kind: "exposure", stops: 4, said: true }),
  () => ({ kind: "stray", subject: "lamp" }),
  () => ({ kind: "twin" }),
];

/** A ring with one to four faults, and in every other set a stretch of it that was not walked. */
function planOf(seed: number): { faulty: SetPlan; clean: SetPlan; faults: string[] } {
  const random = createRandom(91, seed);
  const next = () => random.uniform();
  const missing = next() < 0.5 ? 0 : 2 + Math.floor(3 * next());
  const from = Math.floor(PHOTOS * next());
  const count = 1 + Math.floor(4 * next());
  const kinds = Array.from({ length: count }, () => KINDS[Math.floor(KINDS.length * next())]!(next));
  const places = new Set<number>();
  while (places.size < count) places.add(Math.floor((PHOTOS - 6) * next()));
  const subject = PROPS[seed % PROPS.length]!;
  const base = {
    ...cleanDemo,
    widthPx: 800,
    heightPx: 600,
    seed: 3000 + seed,
    subject,
    rings: [{ elevationDeg: ELEVATION_DEG, photos: PHOTOS, startDeg: 0, spanDeg: 360 }],
    skippedArcs:
      missing === 0
        ? []
        : [{ ring: 0, fromDeg: (from - 0.4) * STEP_DEG, toDeg: (from + missing - 0.6) * STEP_DEG }],
  };
  const other = (fault: Fault): Fault =>
    fault.kind === "stray" && subject === "lamp" ? { ...fault, subject: "toad" } : fault;
  const faults = [...places].map((photo, i) => ({ photo, fault: other(kinds[i]!) }));
  return {
    faulty: planSet({ ...base, faults }),
    clean: planSet(base),
    faults: [...kinds.map(({ kind }) => kind), ...(missing > 0 ? [`${missing} not taken`] : [])],
  };
}

/** One photographer at work: the folder, and who stood where for which of its files. */
interface Walk {
  readonly folder: string;
  readonly clean: SetPlan;
  /** By file name. */
  readonly photos: Map<string, PhotoPlan>;
  /** Photos that are as good as they get: taken well at first, or anew. */
  readonly good: Set<string>;
  round: number;
}

export async function closureOf(seed: number): Promise<Closure> {
  const { faulty, clean, faults } = planOf(seed);
  const folder = await mkdtemp(join(tmpdir(), "closure-"));
  const walk: Walk = {
    folder,
    clean,
    photos: new Map(faulty.photos.map((photo) => [photo.file, photo])),
    good: new Set(faulty.photos.filter((photo) => photo.faults.length === 0).map(({ file }) => file)),
    round: 0,
  };
  const verdicts: Judgement["verdict"][] = [];
  const turnedAgainst: string[] = [];
  const unclear: string[] = [];
  try {
    await draw(faulty, faulty.photos, folder);
    for (; walk.round <= MOST_ROUNDS; walk.round++) {
      const { facts } = await audit(folder, { cache: false, jobs: 1 });
      const judgement = judge(facts);
      verdicts.push(judgement.verdict);
      const asked = judgement.findings.filter(({ severity }) => severity !== "note");
      if (walk.round > 0)
        for (const { check, about, photos } of asked)
          for (const file of about === "photo" ? photos : [])
            if (walk.good.has(file)) turnedAgainst.push(`${check}: ${file}`);
      if (judgement.verdict === "pass") break;
      const before = unclear.length;
      for (const finding of asked) await follow(finding, walk, unclear);
      if (unclear.length > before || asked.length === 0) break;
    }
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
  return { seed, faults, verdicts, turnedAgainst, unclear };
}

async function follow(finding: Finding, walk: Walk, unclear: string[]): Promise<void> {
  const { about, severity, photos, toAdd = 0, measured, check } = finding;
  if (about === "photo" && severity === "leave-out") {
    for (const file of photos) await rm(join(walk.folder, file), { force: true });
  } else if (about === "photo" && severity === "reshoot") {
    for (const file of photos) await retake(file, walk);
  } else if (about === "photo" && severity === "edit" && check === "exposure-step") {
    for (const file of photos) {
      const path = join(walk.folder, file);
      const gain = 2 ** -measured!.value;
      // A photo that an earlier finding moved out has nothing to be edited.
      const bytes = await readFile(path).catch(() => undefined);
      if (bytes !== undefined) await writeFile(path, await applyGains(bytes, [gain, gain, gain]));
    }
  } else if (about === "between" && toAdd > 0) {
    await add(photos, toAdd, walk);
  } else if (severity !== "edit") {
    unclear.push(`${check}: ${finding.message}`);
  }
}

/** The same view, taken well this time. */
async function retake(file: string, walk: Walk): Promise<void> {
  const { walkIndex } = walk.photos.get(file)!;
  const { azimuthDeg } = walk.photos.get(file)!;
  const nearest = walk.clean.photos.toSorted(
    (a, b) => turn(a.azimuthDeg - azimuthDeg) - turn(b.azimuthDeg - azimuthDeg) || a.walkIndex - walkIndex,
  )[0]!;
  await draw(walk.clean, [{ ...nearest, file }], walk.folder);
  walk.good.add(file);
}

const turn = (deg: number): number => Math.abs(((((deg + 180) % 360) + 360) % 360) - 180);

/** So many photos in even steps clockwise from where one was taken to where the other was, or the shorter way. */
async function add([one, other]: readonly string[], count: number, walk: Walk): Promise<void> {
  const [from, to] = [one!, other!].map((file) => walk.photos.get(file)!.azimuthDeg);
  const clockwise = (((to! - from!) % 360) + 360) % 360;
  const span = clockwise <= 180 ? clockwise : clockwise - 360;
  const step = span / (count + 1);
  const plan = planSet({
    ...walk.clean.options,
    seed: walk.clean.options.seed,
    skippedArcs: [],
    rings: [
      {
        elevationDeg: ELEVATION_DEG,
        photos: count,
        startDeg: from! + step,
        spanDeg: count === 1 ? 1 : step * (count - 1),
      },
    ],
  });
  const taken = plan.photos.map((photo, i) => ({
    ...photo,
    file: `added-${walk.round}-${one!.replace(/\W/g, "")}-${i}.jpg`,
    capturedMs: photo.capturedMs + 3_600_000 * (walk.round + 1),
  }));
  await draw(plan, taken, walk.folder);
  for (const photo of taken) {
    walk.photos.set(photo.file, photo);
    walk.good.add(photo.file);
  }
}

/** Photos of a plan into a folder, over what is there by those names. */
async function draw(plan: SetPlan, photos: readonly PhotoPlan[], folder: string): Promise<void> {
  const beside = `${folder}-drawn`;
  await writeSet({ ...plan, photos }, beside, { jobs: 1 });
  for (const file of await readdir(beside))
    if (file.endsWith(".jpg")) await rename(join(beside, file), join(folder, file));
  await rm(beside, { recursive: true });
}
