import { existsSync, readdirSync, readFileSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { describe, expect, test } from "vitest";
import { checks } from "#goodgate/checks/index.js";
import { mergeLimits } from "#goodgate/checks/limits.js";
import { defineProgram } from "#goodgate/commands/program.js";
import { pages } from "./pages.js";

const readme = readFileSync("README.md", "utf8");

describe("the check registry", () => {
  // A file that ends in a check defines one; the rest of the folder is what the checks share.
  const names = readdirSync("src/checks")
    .filter((file) => /^export const \w+ = defineCheck\(/m.test(readFileSync(`src/checks/${file}`, "utf8")))
    .map((file) => basename(file, ".ts"));

  test("holds every check in src/checks, each once", () => {
    expect(names.length).toBeGreaterThan(0);
    expect(checks.map(({ id }) => id).toSorted()).toEqual(names.toSorted());
  });

  test.each(names)("%s: file, export and id agree", async (name) => {
    const file = pathToFileURL(resolve("dist/checks", `${name}.js`)).href;
    const exported = (await import(/* @vite-ignore */ file)) as Record<string, { readonly id?: string }>;
    const camelCase = name.replaceAll(/-(\w)/g, (_, letter: string) => letter.toUpperCase());
    expect(exported[camelCase]?.id).toBe(name);
  });
});

describe("the pages made from the checks", () => {
  test.each(Object.entries(pages))(
    "%s is what the checks say (else run test/docs/generate.ts)",
    (path, render) => {
      expect(readFileSync(path, "utf8")).toBe(render());
    },
  );
});

describe("README.md", () => {
  const { commands } = defineProgram(
    () => {},
    () => {},
  );
  test.each(commands.map((command) => [command.name(), command] as const))(
    "names every option of %s and no other",
    (name, { options }) => {
      const section = readme.split(/^### /m).find((part) => part.startsWith(`\`goodgate ${name}`)) ?? "";
      const told = [...section.matchAll(/^\| `(--[\w-]+)/gm)].map(([, option]) => option);
      expect(told).toEqual(options.map(({ long }) => long));
    },
  );

  test("shows a limits file that is accepted", () => {
    const [, example] = /--limits my-limits\.json[\s\S]*?```json\n([\s\S]*?)```/.exec(readme) ?? [];
    const changed = Object.values(mergeLimits(JSON.parse(example ?? ""))).flatMap((table) =>
      Object.values(table).filter(({ source }) => source === "given with --limits"),
    );
    expect(changed.length).toBeGreaterThan(1);
  });

  test("names every package it needs at run time", () => {
    const { dependencies } = JSON.parse(readFileSync("package.json", "utf8"));
    const licences = readme.slice(readme.indexOf("## Licence"));
    for (const name of Object.keys(dependencies)) expect(licences).toContain(name);
  });
});

describe("links", () => {
  const files = ["README.md", "DEVELOPERS.md", ...readdirSync("docs").map((file) => `docs/${file}`)];
  const links = files
    .filter((file) => file.endsWith(".md"))
    .flatMap((file) =>
      [...readFileSync(file, "utf8").matchAll(/\]\(([^)#:]+)(?:#[^)]*)?\)/g)].map(
        ([, to]) => [file, to!] as const,
      ),
    );

  test("are there to follow", () => expect(links.length).toBeGreaterThan(3));

  test.each(links)("%s links to %s, which exists", (file, to) => {
    expect(existsSync(join(dirname(file), to))).toBe(true);
  });
});
