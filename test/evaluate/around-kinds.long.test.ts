import { expect, test } from "vitest";
import { kinds } from "./around-kinds.js";
import { met } from "./table.js";

/** One seed of kinds that once came out wrong and sure of it; docs/evaluation-around.md holds more. */
test.each([
  "can, print twice, plain table",
  "vase of eight alike, plain table",
  "states 0.50 of the true one",
])("%s: no false direction", { timeout: 120_000 }, async (plan) => {
  const [{ rows }] = await kinds(1, plan);
  expect(rows.filter((row) => row.what.includes("10 degrees off") && !met(row))).toEqual([]);
});
