import { execFileSync } from "node:child_process";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { seededRandom } from "../support/arrays.js";
import { mutated } from "./mutations.js";
import { fuzzSources } from "./sources.js";

describe("the fuzzer", () => {
  it("makes the same damage from the same seed, and other damage from another", async () => {
    const sources = await fuzzSources();
    const made = (seed: number) => mutated(sources, seededRandom(seed));
    expect(made(5)).toEqual(made(5));
    expect([1, 2, 3, 4].map((seed) => made(seed).how)).not.toEqual(
      [6, 7, 8, 9].map((seed) => made(seed).how),
    );
  });

  it("finds no crash, no hang and no other exit code in a slice of its cases", () => {
    execFileSync("npx", ["tsc", "-p", "test/tsconfig.json"], { stdio: "ignore" });
    const said = execFileSync(
      process.execPath,
      [
        resolve("build/test/fuzz/fuzz.js"),
        "--seed",
        "2",
        "--cases",
        "300",
        "--folders",
        "6",
        "--minutes",
        "4",
      ],
      { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] },
    );
    expect(said).toMatch(/300 damaged files .*, 6 folders, 0 failures/);
  }, 300_000);
});
