import { readdirSync } from "node:fs";
import { join } from "node:path";
import { dataFolder } from "../support/data.js";

/** Files other projects keep because they once crashed, hung or blew up a program that read them. */
export function hostileFiles(): string[] {
  const data = dataFolder() ?? "";
  const exiv2 = "src/exiv2/test/data";
  const heif = "src/libheif/fuzzing/corpus";
  return [
    ...readdirSync(join(data, exiv2))
      .filter((name) => /poc|crash|issue|cve/i.test(name))
      .map((name) => `${exiv2}/${name}`),
    ...readdirSync(join(data, heif)).map((name) => `${heif}/${name}`),
  ].sort();
}

/** Names a file is read under, so that whatever it is meets each way of reading: by its content, and as raw. */
export const GUISES = ["file.jpg", "file.dng"] as const;
