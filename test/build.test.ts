import { existsSync, readdirSync, statSync } from "node:fs";
import { expect, test } from "vitest";

/** Sources of what tsc does not compile. */
const OTHER_SOURCES: Readonly<Record<string, string>> = {
  "build-id": "scripts/build-id.mjs",
  // What the parser prints: see scripts/write-help.mjs.
  help: "src/commands/program.ts",
  "report/page/assets.js": "src/report/page/browser/main.ts",
  "kernels/kernels.wasm": "src/kernels/assembly/index.ts",
};

test("dist holds nothing but what is made of a file that is there: else run npm run build", () => {
  const built = readdirSync("dist", { recursive: true, encoding: "utf8" })
    .filter((file) => statSync(`dist/${file}`).isFile())
    .map((file) => file.replaceAll("\\", "/"));
  const sourceOf = (file: string) =>
    OTHER_SOURCES[file.replace(/^help\/.*/, "help")] ?? `src/${file.replace(/\.(d\.ts|js|js\.map)$/, ".ts")}`;
  expect(built.filter((file) => !existsSync(sourceOf(file)))).toEqual([]);
});
