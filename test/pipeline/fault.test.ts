import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it, vi } from "vitest";
import { undecodable } from "#goodgate/gather/errors.js";
import { readPhoto } from "#goodgate/pipeline/read-photo.js";
import { jpeg, quarters } from "../support/pictures.js";
import { noStore } from "../support/store.js";

vi.mock("#goodgate/gather/decode.js", () => ({
  decodePhoto: async () => {
    throw undecodable(new TypeError("jug is not\u001b a function"), []);
  },
  isTurnedByDecoding: () => false,
}));

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "goodgate-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

it("a fault while a photo is decoded costs that photo alone, and comes with where it arose", async () => {
  const path = join(folder, "jug.jpg");
  writeFileSync(path, await jpeg(quarters()));
  expect(await readPhoto({ file: "jug.jpg", path }, noStore)).toEqual({
    unreadable: { file: "jug.jpg", reason: "its picture cannot be decoded", wayOut: "save a JPEG copy" },
    fault: expect.stringMatching(/^TypeError: jug.*fault\.test\.ts/s),
  });
});
