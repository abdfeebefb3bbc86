/** What was measured on a set of the gate's evaluation. */
import { existsSync } from "node:fs";
import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { audit } from "#goodgate/pipeline/audit.js";
import { factsFromJson, renderJson } from "#goodgate/report/json.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { GateSet } from "./gate-sets.js";

const keptAt = ({ name }: GateSet, cache: string): string =>
  join(cache, "facts", `${name.replaceAll(/[^a-z0-9.-]+/gi, "-")}.json`);

/** Whether a set was measured before, by whatever build. */
export const isMeasured = (set: GateSet, cache: string): boolean => existsSync(keptAt(set, cache));

/** A set's facts, from the cache or by an audit of its files. */
export async function factsOf(
  set: GateSet,
  cache: string,
  { fresh = false, kept = false }: { fresh?: boolean; kept?: boolean } = {},
): Promise<Facts> {
  const build = await readFile(new URL("../../../dist/build-id", import.meta.url), "utf8");
  const file = keptAt(set, cache);
  await mkdir(dirname(file), { recursive: true });
  if (!fresh && existsSync(file)) {
    const { build: by, report } = JSON.parse(await readFile(file, "utf8")) as {
      build: string;
      report: never;
    };
    if (kept || by === build) return factsFromJson(report);
  }
  const photos = await mkdtemp(join(tmpdir(), "gate-set-"));
  try {
    for (const [name, bytes] of await set.files()) await writeFile(join(photos, name), await bytes());
    const report = await audit(photos, {
      cache: false,
      jobs: 1,
      ...(set.spanDeg !== undefined && { spanDeg: set.spanDeg }),
    });
    const named = { ...report, facts: { ...report.facts, folder: "photos" } };
    await writeFile(file, JSON.stringify({ build, report: JSON.parse(renderJson(named)) }));
    return named.facts;
  } finally {
    await rm(photos, { recursive: true, force: true });
  }
}
