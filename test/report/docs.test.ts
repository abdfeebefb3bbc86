import { readFileSync } from "node:fs";
import { Ajv2020 } from "ajv/dist/2020.js";
import { describe, expect, test } from "vitest";

const page = readFileSync("docs/report-format.md", "utf8");
const schema = JSON.parse(readFileSync("docs/report.schema.json", "utf8"));

describe("docs/report-format.md", () => {
  test("explains every name in the schema", () => {
    const named = (node: Record<string, unknown>): string[] =>
      Object.entries(node).flatMap(([key, value]) => {
        if (typeof value !== "object" || value === null || Array.isArray(value)) return [];
        const below = named(value as Record<string, unknown>);
        return key === "properties" ? [...Object.keys(value), ...below] : below;
      });
    const names = new Set(named(schema));
    expect(names.size).toBeGreaterThan(60);
    for (const name of names) expect(page, name).toMatch(new RegExp(`["\`.]${name}["\`]|[{,] ${name}[, ]`));
  });

  test("lists every unit and no other", () => {
    const section = page.slice(page.indexOf("## Units"), page.indexOf("## From a program"));
    const units = [...section.matchAll(/`([^`]+)`/g)].map(([, unit]) => unit);
    expect(units.toSorted()).toEqual(schema.$defs.unit.enum.toSorted());
  });

  test("its example uses the schema's names, though shortened", () => {
    const example = JSON.parse(/```json\n([\s\S]*?)```/.exec(page)![1]!);
    // What is left out of a shortened example is no fault of it; a name that is not in the schema is.
    const validate = new Ajv2020({ allErrors: true }).compile(schema);
    validate(example);
    const faults = (validate.errors ?? []).filter(
      ({ keyword, instancePath }) => keyword !== "required" && !instancePath.endsWith("/contentHash"),
    );
    expect(faults).toEqual([]);
  });
});
