import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { type AuditProgress, audit } from "#goodgate/pipeline/audit.js";
import { jpeg, textured } from "../support/pictures.js";

let root: string;
let photos: string;
beforeEach(async () => {
  root = mkdtempSync(join(tmpdir(), "reliable-"));
  photos = join(root, "photos");
  mkdirSync(photos);
  vi.stubEnv("GOODGATE_CACHE", join(root, "cache"));
  for (const seed of [1, 2, 3])
    writeFileSync(join(photos, `jug_${seed}.jpg`), await jpeg(textured(320, 240, seed)));
});
afterEach(() => {
  vi.unstubAllEnvs();
  rmSync(root, { recursive: true, force: true });
});

it("a run that is stopped keeps the photos and pairs that were measured until then", async () => {
  const stop = new AbortController();
  const onProgress = ({ stage, done }: AuditProgress): void => {
    if (stage === "pairs" && done === 1) stop.abort(new Error("enough"));
  };
  const stopped = audit(photos, { jobs: 1, cache: true, signal: stop.signal, onProgress });
  await expect(stopped).rejects.toThrow("enough");
  const kept = readdirSync(join(root, "cache"), { recursive: true, encoding: "utf8" });
  const count = (kind: string) => kept.filter((name) => name.endsWith(`.${kind}`)).length;
  expect([count("photo"), count("pairs"), count("set")]).toEqual([3, 1, 0]);
  // The next run has one pair less to compare.
  const told: AuditProgress[] = [];
  await audit(photos, { jobs: 1, cache: true, onProgress: (progress) => told.push(progress) });
  expect(told.filter(({ stage }) => stage === "pairs").at(-1)).toEqual({ stage: "pairs", done: 2, of: 2 });
});
