/** Reads and hashes every JPEG of a folder: the floor of any run that finds everything measured already. */
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

const folder = process.argv[2];
if (folder === undefined) throw new Error("expected a folder");
for (const file of readdirSync(folder)) {
  if (!file.endsWith(".jpg")) continue;
  console.log(
    createHash("sha256")
      .update(readFileSync(join(folder, file)))
      .digest("hex"),
  );
}
