import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";
import { cleanDemo, planSet, type SetOptions, writeSet } from "#goodgate/demo/index.js";

const CACHE = fileURLToPath(new URL("../../.cache/rendered", import.meta.url));

/**
 * Photos of a set, path by path, in capture order: 640 x 480 landscape unless `change` says otherwise. Rendering takes
 * longer than most tests that need photos, and the same options give the same bytes: so a set is rendered once and
 * kept until the renderer changes. Tests copy what they change.
 */
export async function renderedSet(change: Partial<SetOptions>): Promise<string[]> {
  const plan = planSet({ ...cleanDemo, widthPx: 640, heightPx: 480, portraitShare: 0, ...change });
  const renderer = join(CACHE, rendererHash());
  mkdirSync(renderer, { recursive: true });
  // What another renderer left is of no use to anyone.
  for (const name of readdirSync(CACHE))
    if (name !== basename(renderer)) rmSync(join(CACHE, name), { recursive: true, force: true });
  const folder = join(renderer, hashOf(JSON.stringify(plan.options)));
  if (!existsSync(folder))
    await writeSet(plan, folder, { jobs: 2 }).catch((error) => {
      // Another test file may have been quicker with the same photos.
      if (!existsSync(folder)) throw error;
    });
  return plan.photos.map(({ file }) => join(folder, file));
}

/** Of all code that makes a photo, the encoder's with it. */
function rendererHash(): string {
  const demo = dirname(fileURLToPath(import.meta.resolve("#goodgate/demo/index.js")));
  const code = readdirSync(demo, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".js"))
    .sort()
    .map((name) => name + readFileSync(join(demo, name), "utf8"));
  return hashOf(JSON.stringify(sharp.versions), ...code);
}

function hashOf(...parts: readonly string[]): string {
  const hash = createHash("sha256");
  for (const part of parts) hash.update(part);
  return hash.digest("hex").slice(0, 16);
}
