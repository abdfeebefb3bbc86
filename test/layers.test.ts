import { readdirSync, readFileSync } from "node:fs";
import { dirname, posix } from "node:path";
import { describe, expect, test } from "vitest";

const MEASURE = [
  "light",
  "subject",
  "coverage",
  "poses",
  "pairing",
  "turntable",
  "set",
  "pair",
  "photo",
  "features",
  "geometry",
].map((name) => `measure/${name}`);

/**
 * What each part of src/ may import besides itself: another part, a package, or "node:". A part is a file directly
 * in src/, or a folder; the folders of measure/ each count on their own. Every list names only parts further down.
 */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  "index.ts": ["pipeline", "ready", "checks", "report", "types"],
  "cli.ts": ["commands", "controls.ts", "errors.ts", "version.ts", "node:"],
  commands: [
    "pipeline",
    "pictures",
    "ready",
    "checks",
    "report",
    "demo",
    "controls.ts",
    "errors.ts",
    "nearest.ts",
    "types",
    "version.ts",
    "node:",
    "commander",
  ],
  // What a page shows of the photos: it is told which, and measures nothing.
  pictures: ["ready", "gather", "measure/photo", "report", "in-turn.ts", "types"],
  // What is done once the verdict is given: it judges by the pipeline, and measures nothing itself.
  ready: [
    "pipeline",
    "gather",
    "measure",
    "measure/coverage",
    "measure/geometry",
    "measure/photo",
    "measure/set",
    "report",
    "controls.ts",
    "errors.ts",
    "in-turn.ts",
    "required.ts",
    "types",
    "node:",
    "sharp",
  ],
  pipeline: [
    "errors.ts",
    "gather",
    "checks",
    "report",
    "runtime",
    ...MEASURE,
    "measure",
    "types",
    "version.ts",
    "node:",
  ],
  // Truth is worth nothing when it comes from what it is to test: the renderer knows no measure.
  demo: ["errors.ts", "types", "node:", "sharp"],
  gather: [
    "runtime",
    "controls.ts",
    "errors.ts",
    "required.ts",
    "types",
    "node:",
    "sharp",
    "exifr",
    "libheif-js",
  ],
  checks: [...MEASURE, "measure", "errors.ts", "nearest.ts", "types"],
  // Threads, memory and what is kept: knows no photo and no measure.
  runtime: ["kernels", "errors.ts", "version.ts", "node:", "piscina"],
  report: ["controls.ts", "types", "chalk", "cli-table3", "string-width", "wrap-ansi"],
  "measure/light": [...below("measure/subject"), "kernels"],
  "measure/subject": [...below("measure/coverage"), "kernels"],
  "measure/coverage": [...below("measure/poses")],
  "measure/poses": [...below("measure/pair"), "kernels"],
  "measure/pairing": [...below("measure/pair"), "kernels"],
  "measure/turntable": [...below("measure/pair")],
  "measure/set": [...below("measure/pair")],
  "measure/pair": [...below("measure/features"), "kernels"],
  "measure/photo": [...below("measure/features"), "kernels"],
  "measure/features": [...below("measure/geometry"), "kernels"],
  "measure/geometry": ["measure", "kernels", "types"],
  // Arithmetic that no folder owns.
  measure: ["required.ts", "ml-matrix"],
  // WASM and its memory: the only file that measuring reads is its own code.
  kernels: ["node:"],
  // Characters that must not come through from a file.
  "controls.ts": [],
  // What is said when something cannot be done.
  "errors.ts": [],
  // Which known word someone may have meant.
  "nearest.ts": [],
  // How work on many things is done a few at a time.
  "in-turn.ts": [],
  "version.ts": ["node:"],
  // How packages are loaded that are slow to import.
  "required.ts": ["node:"],
  types: [],
};

/** `first` and all that stands below it in measure/; pair and photo stand side by side. */
function below(first: string): string[] {
  return [...MEASURE.slice(MEASURE.indexOf(first)), "measure", "types"];
}

/** Whatever a file names to load: static, re-exported, dynamic, as a type, or as a worker. */
function importsOf(source: string): string[] {
  const ways = [
    /^(?:import|export)\b[^;"']*?\bfrom\s+"([^"]+)"/gm,
    /^import\s+"([^"]+)"/gm,
    /\b(?:import|required)\(\s*"([^"]+)"/g,
    /\bnew URL\(\s*"([^"]+\.js)"/g,
  ];
  return ways.flatMap((way) => [...source.matchAll(way)].map(([, name]) => name!));
}

/** Part of src/ that a file (its path from src/) belongs to. */
function partOf(file: string): string {
  const folders = dirname(file).split("/");
  if (folders[0] === ".") return file;
  return folders[0] === "measure" ? folders.slice(0, 2).join("/") : folders[0]!;
}

/** Part, package or "node:" that an import leads to. */
function targetOf(file: string, name: string): string {
  if (name.startsWith("node:")) return "node:";
  if (name.startsWith(".")) return partOf(posix.join(dirname(file), name).replace(/\.js$/, ".ts"));
  return name
    .split("/")
    .slice(0, name.startsWith("@") ? 2 : 1)
    .join("/");
}

/** The imports of a file that run the wrong way. */
function wrongWays(file: string, source: string): string[] {
  const part = partOf(file);
  const allowed = MAY_IMPORT[part];
  if (allowed === undefined) return [`${file}: src/${part} has no place among the layers`];
  return importsOf(source)
    .filter((name) => ![part, ...allowed].includes(targetOf(file, name)))
    .map((name) => `${file} imports ${name}`);
}

describe("imports run one way, down", () => {
  const files = readdirSync("src", { recursive: true, encoding: "utf8" })
    .map((file) => file.replaceAll("\\", "/"))
    .filter((file) => file.endsWith(".ts"));

  test.each(Object.keys(MAY_IMPORT))("src/%s imports only what stands below it", (part) => {
    const own = files.filter((file) => partOf(file) === part);
    expect(own).not.toEqual([]);
    expect(own.flatMap((file) => wrongWays(file, readFileSync(`src/${file}`, "utf8")))).toEqual([]);
  });

  test("every file has its place", () => {
    expect(files.filter((file) => !(partOf(file) in MAY_IMPORT))).toEqual([]);
  });

  test("no two parts may import one another, not even by a detour", () => {
    const order = Object.keys(MAY_IMPORT);
    const reach = (part: string, seen = new Set<string>()): Set<string> => {
      for (const next of MAY_IMPORT[part] ?? []) {
        if (seen.has(next)) continue;
        seen.add(next);
        reach(next, seen);
      }
      return seen;
    };
    expect(order.filter((part) => reach(part).has(part))).toEqual([]);
  });
});

describe("no file imports itself by a detour", () => {
  const files = readdirSync("src", { recursive: true, encoding: "utf8" })
    .map((file) => file.replaceAll("\\", "/"))
    .filter((file) => file.endsWith(".ts"));
  const leadsTo = new Map(
    files.map((file) => [
      file,
      importsOf(readFileSync(`src/${file}`, "utf8"))
        .filter((name) => name.startsWith("."))
        .map((name) => posix.join(dirname(file), name).replace(/\.js$/, ".ts"))
        .filter((target) => target !== file),
    ]),
  );
  const reach = (file: string, seen = new Set<string>()): Set<string> => {
    for (const next of leadsTo.get(file) ?? []) {
      if (seen.has(next)) continue;
      seen.add(next);
      reach(next, seen);
    }
    return seen;
  };

  test("src/ holds no circle of files", () => {
    expect(files.filter((file) => reach(file).has(file))).toEqual([]);
  });
});

describe("the rule itself", () => {
  test("sees every way to import", () => {
    const source = [
      'import { a } from "./a.js";',
      'import {\n  type B,\n  c,\n} from "../b.js";',
      'export * from "./c.js";',
      'import type { D } from "d";',
      'import "./e.js";',
      'const f = await import("./f.js");',
      'let g: import("./g.js").G;',
      'new URL("./h.js", import.meta.url);',
      'export function i(from: string) {\n  return `from the "shelf"`;\n}',
    ].join("\n");
    expect(importsOf(source).toSorted()).toEqual(
      ["./a.js", "../b.js", "./c.js", "d", "./e.js", "./f.js", "./g.js", "./h.js"].toSorted(),
    );
  });

  test.each([
    ["measure/photo/x.ts", "../pair/pair.js"],
    ["measure/pair/x.ts", "../photo/photo.js"],
    ["measure/features/x.ts", "../photo/photo.js"],
    ["measure/geometry/x.ts", "../features/features.js"],
    ["measure/set/x.ts", "../poses/turn.js"],
    ["measure/poses/x.ts", "../coverage/up.js"],
    ["measure/set/x.ts", "../../gather/order.js"],
    ["measure/set/x.ts", "node:fs"],
    ["measure/set/x.ts", "sharp"],
    ["report/x.ts", "../checks/index.js"],
    ["report/x.ts", "../gather/folder.js"],
    ["report/x.ts", "../pipeline/audit.js"],
    ["checks/x.ts", "../report/text.js"],
    ["checks/x.ts", "../gather/order.js"],
    ["gather/x.ts", "../checks/define.js"],
    ["pipeline/x.ts", "../commands/io.js"],
    ["pipeline/x.ts", "../demo/index.js"],
    ["demo/x.ts", "../measure/photo/tone.js"],
    ["runtime/x.ts", "../measure/parts.js"],
    ["runtime/x.ts", "../types/facts.js"],
    ["runtime/x.ts", "../gather/folder.js"],
    ["gather/x.ts", "../measure/photo/photo.js"],
    ["gather/x.ts", "../pipeline/once.js"],
    ["elsewhere/x.ts", "../types/units.js"],
  ])("%s may not import %s", (file, name) => {
    expect(wrongWays(file, `import { x } from "${name}";`)).toHaveLength(1);
  });

  test.each([
    ["measure/pair/pair.ts", "./match.js"],
    ["measure/pair/x.ts", "../geometry/affine.js"],
    ["measure/poses/x.ts", "../pair/match.js"],
    ["measure/coverage/x.ts", "../poses/placed.js"],
    ["pipeline/x.ts", "../gather/folder.js"],
    ["demo/props/jug.ts", "../vector.js"],
    ["commands/x.ts", "../report/terminal.js"],
  ])("%s may import %s", (file, name) => {
    expect(wrongWays(file, `import { x } from "${name}";`)).toEqual([]);
  });
});
