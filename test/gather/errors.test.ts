import { expect, it } from "vitest";
import { CUT_SHORT, undecodable } from "#goodgate/gather/errors.js";

const known = [[/^Invalid input/, CUT_SHORT]] as const;

it("a decoder's known message is told in plain words, without a cause", () => {
  const told = undecodable(new Error("Invalid input: No 'meta' box"), known);
  expect(told).toMatchObject(CUT_SHORT);
  expect(told.cause).toBeUndefined();
});

it("any other error is no damage of the file: its words are kept as the cause, and not shown", () => {
  const fault = new TypeError("jug is not a function\n    in the wings");
  const told = undecodable(fault, known);
  expect(told.reason).toBe("its picture cannot be decoded");
  expect(told.wayOut).toBe("save a JPEG copy");
  expect(told.cause).toBe(fault);
});
