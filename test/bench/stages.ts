/** Where the time of one photo and one pair goes: every stage alone, on one thread, in the order of the audit. */
import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { decodePhoto } from "#goodgate/gather/decode.js";
import { readExif } from "#goodgate/gather/exif.js";
import { readPhotoFile } from "#goodgate/gather/read-file.js";
import { withArena } from "#goodgate/kernels/arena.js";
import { extractFeatures } from "#goodgate/measure/features/extract.js";
import { matchDescriptors } from "#goodgate/measure/pair/match.js";
import { measurePair } from "#goodgate/measure/pair/pair.js";
import { voteForPairs } from "#goodgate/measure/pairing/select-pairs.js";
import { measurePhoto, WORKING_LONG_EDGE } from "#goodgate/measure/photo/photo.js";
import { shrink, shrunkSize } from "#goodgate/measure/photo/resample.js";
import { scanPixels } from "#goodgate/measure/photo/scan.js";
import { fillSurface, SURFACE_LONG_EDGE, takeSurface } from "#goodgate/measure/photo/surface.js";
import { tileGrid } from "#goodgate/measure/photo/tiles.js";
import { pairPose } from "#goodgate/measure/poses/solved-set.js";
import type { Features } from "#goodgate/types/photo.js";

const PHOTOS = 10;

/** Milliseconds of CPU, the process's own, by stage. */
class Stages {
  readonly #ms = new Map<string, number[]>();

  async time<T>(stage: string, work: () => T | Promise<T>): Promise<T> {
    const before = process.cpuUsage();
    const result = await work();
    const { user, system } = process.cpuUsage(before);
    this.add(stage, (user + system) / 1000);
    return result;
  }

  add(stage: string, ms: number): void {
    this.#ms.set(stage, [...(this.#ms.get(stage) ?? []), ms]);
  }

  /** Medians, so that what compiling costs at first does not count. */
  medians(): [string, number][] {
    return [...this.#ms].map(([stage, ms]) => [stage, ms.sort((a, b) => a - b)[ms.length >> 1]!]);
  }
}

/** A set of photos, and what it is called in a table. */
export interface NamedSet {
  readonly name: string;
  readonly folder: string;
}

/** Markdown: a row each stage, a column each set. */
export async function stageTable(sets: readonly NamedSet[]): Promise<string> {
  const columns: Map<string, number>[] = [];
  for (const { folder } of sets) columns.push(new Map(await stagesOf(folder)));
  const lines = [...columns[0]!.keys()].map(
    (stage) => `| ${stage} | ${columns.map((ms) => ms.get(stage)!.toFixed(1)).join(" | ")} |`,
  );
  return [
    `| stage, ms of one core | ${sets.map(({ name }) => name).join(" | ")} |`,
    `|---|${"--:|".repeat(sets.length)}`,
    ...lines,
  ].join("\n");
}

async function stagesOf(folder: string): Promise<[string, number][]> {
  const stages = new Stages();
  const files = (await readdir(folder)).filter((name) => /\.jpe?g$/i.test(name)).sort();
  const all: Features[] = [];
  for (const file of files.slice(0, PHOTOS)) {
    const path = join(folder, file);
    const bytes = new Uint8Array(await readFile(path));
    await stages.time("read the file and hash it", () => readPhotoFile(path));
    await stages.time("EXIF", () => readExif(bytes));
    const rgb = await stages.time("decode", () => decodePhoto(bytes));
    const grid = tileGrid(rgb.width, rgb.height);
    const [width, height] = shrunkSize(rgb.width, rgb.height, SURFACE_LONG_EDGE);
    const luma = new Uint8Array(width * height);
    const [scanMs, surfaceMs] = withArena((arena) => {
      const surface = takeSurface(width, height, arena);
      const at = arena.take(3 * width * height);
      const clock = [performance.now()];
      scanPixels(rgb, grid, { width, height, at }, arena);
      clock.push(performance.now());
      fillSurface(surface, at);
      clock.push(performance.now());
      luma.set(surface.luma);
      return [clock[1]! - clock[0]!, clock[2]! - clock[1]!];
    });
    await stages.time("all that is measured on the pixels", () => measurePhoto(rgb, 1));
    const features = await stages.time("- of it keypoints and descriptors", () =>
      extractFeatures(shrink({ width, height, data: luma }, 1, WORKING_LONG_EDGE)),
    );
    stages.add("- of it the one pass over the full-size pixels (wall)", scanMs!);
    stages.add("- of it bands and linear light at 1920 px (wall)", surfaceMs!);
    all.push(features);
  }
  const focal = { focalLength35Mm: 28 };
  for (let i = 0; i + 1 < all.length; i++) {
    const [a, b] = [all[i]!, all[i + 1]!];
    const { inliers, facts } = await stages.time("a pair: match, verify, compare", () =>
      measurePair(a, b, 1),
    );
    await stages.time("- of it matching", () => matchDescriptors(a, b));
    await stages.time("a linked pair: pose", () =>
      pairPose({ features: a, ...focal }, { features: b, ...focal }, inliers, facts.verifiedRatio),
    );
  }
  await stages.time("choosing pairs, a photo", () => voteForPairs(all));
  return stages.medians().map(([stage, ms]) => [stage, stage.startsWith("choosing") ? ms / all.length : ms]);
}
