/** Clean sets of other kinds than one ring: what moves over a thin prop, and before a plain wall, though the light stands. */
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { movingShadow } from "#goodgate/checks/moving-shadow.js";
import { cleanDemo, planSet, type SetOptions, writeSet } from "#goodgate/demo/index.js";
import { audit } from "#goodgate/pipeline/audit.js";
import type { LightFacts } from "#goodgate/types/light.js";
import { percentile, type Row, type Section } from "./table.js";

const SEEDS = [1, 2, 3];

const ring = (elevationDeg: number, photos: number) => ({ elevationDeg, photos, startDeg: 0, spanDeg: 360 });

const KINDS: readonly { readonly name: string; readonly options: Partial<SetOptions> }[] = [
  {
    name: "a thin brass lamp, two heights",
    options: { subject: "lamp", rings: [ring(10, 24), ring(35, 24)] },
  },
  {
    name: "a jug before plain walls",
    options: { subject: "jug", background: "plain", rings: [ring(15, 24)] },
  },
];

/** Renders and audits each set; about half a minute a set on one core. */
export async function cleanSection(): Promise<Section> {
  const rows: Row[] = [];
  for (const { name, options } of KINDS) {
    const lights: LightFacts[] = [];
    for (const seed of SEEDS) lights.push(await lightOf({ ...options, seed }));
    const shares = lights.map(({ photos }) =>
      percentile(
        photos.flatMap(({ highlightRatio }) => highlightRatio ?? []),
        0.5,
      ),
    );
    const shadows = lights.flatMap(({ photos }) => photos.flatMap(({ shadowRatio }) => shadowRatio ?? []));
    const named = shadows.filter((share) => share > movingShadow.limits.share.value).length;
    rows.push(
      { what: `${name}: share under highlights, ${SEEDS.length} sets (median/max)`, measured: ends(shares) },
      {
        what: `${name}: share under a shadow, ${shadows.length} photos (median/99th percentile/max)`,
        measured: [percentile(shadows, 0.5), percentile(shadows, 0.99), Math.max(...shadows)],
      },
      { what: `${name}: photos named for a shadow`, measured: [named] },
    );
  }
  return {
    title: "Clean sets of other kinds",
    about:
      "Matt props under three lamps that stand still, seeds 1 to 3, audited as a whole: all that these measures show is false. Printed by `--only clean`.",
    rows,
  };
}

const ends = (values: readonly number[]) => [percentile(values, 0.5), Math.max(...values)];

async function lightOf(change: Partial<SetOptions>): Promise<LightFacts> {
  const root = await mkdtemp(join(tmpdir(), "goodgate-light-"));
  try {
    const folder = join(root, "set");
    const plan = planSet({ ...cleanDemo, widthPx: 720, heightPx: 540, portraitShare: 0, ...change });
    await writeSet(plan, folder, { jobs: 1 });
    const { facts } = await audit(folder, { jobs: 1, cache: false });
    if (facts.light === undefined) throw new Error("the light of a clean set was not measured");
    return facts.light;
  } finally {
    await rm(root, { recursive: true, force: true });
  }
}
