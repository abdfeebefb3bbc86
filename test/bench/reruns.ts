/** What a second run costs: with nothing changed, and after four of sixty photos were taken again. */
import { copyFile, link, mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { medianCost, type Run, runMeasured } from "./run.js";
import type { Bar } from "./table.js";

/** What a run may take beyond reading the files: starting up, and the report. */
const START_S = 0.3;
const PHOTOS = 60;
/** Photos taken again: two beside one another, two elsewhere. */
const RETAKEN = [10, 11, 30, 45];

export async function rerunBars(
  root: string,
  photos: string,
  rounds: number,
  say: (line: string) => void,
): Promise<Bar[]> {
  const arena = await mkdtemp(join(tmpdir(), "bench-cache-"));
  const check = (folder: string, cache: string): Promise<Run> =>
    runMeasured(process.execPath, ["bin/goodgate.js", "check", folder, "--json", "--jobs", "2"], root, {
      GOODGATE_CACHE: join(arena, cache),
    });
  const hash = () => runMeasured(process.execPath, [hashOnly, photos], root);
  try {
    const first = await check(photos, "all");
    const again: Run[] = [];
    const hashed: Run[] = [];
    for (let round = 0; round < rounds + 2; round++) {
      again.push(await check(photos, "all"));
      hashed.push(await hash());
    }
    if (again.some(({ stdout }) => stdout !== first.stdout))
      throw new Error("a second run says something else");
    const [unchanged, hashing] = [medianCost(again), medianCost(hashed)];
    say(`again: ${unchanged.wallS.toFixed(2)} s wall; hashing alone: ${hashing.wallS.toFixed(2)} s wall`);

    const shares: number[] = [];
    for (let round = 0; round < rounds; round++) {
      const folder = await mkdtemp(join(arena, "set-"));
      const names = (await readdir(photos)).filter((name) => name.endsWith(".jpg")).sort();
      for (const name of names.slice(0, PHOTOS)) await link(join(photos, name), join(folder, name));
      const fresh = await check(folder, `round-${round}`);
      for (const [k, index] of RETAKEN.entries()) {
        await rm(join(folder, names[index]!));
        await copyFile(join(photos, names[PHOTOS + k]!), join(folder, names[index]!));
      }
      const changed = await check(folder, `round-${round}`);
      shares.push(changed.wallS / fresh.wallS);
      say(`${PHOTOS} photos: ${inWords(fresh)}; ${RETAKEN.length} taken again: ${inWords(changed)}`);
    }
    shares.sort((a, b) => a - b);
    return [
      {
        what: `again with nothing changed, wall, beside ${START_S} s and 1.2 times hashing the same files`,
        value: unchanged.wallS,
        bar: START_S + 1.2 * hashing.wallS,
        unit: "s",
      },
      {
        what: `after ${RETAKEN.length} of ${PHOTOS} photos were taken again, wall over the first run's`,
        value: shares[shares.length >> 1]!,
        bar: 0.25,
        unit: "times",
      },
    ];
  } finally {
    await rm(arena, { recursive: true });
  }
}

function inWords({ wallS, cpuS }: Run): string {
  return `${wallS.toFixed(1)} s wall, ${cpuS.toFixed(1)} s CPU`;
}

const hashOnly = fileURLToPath(new URL("hash-only.js", import.meta.url));
