import { describe, expect, it } from "vitest";
import { closureOf } from "./gate-closure.js";

describe("a fixed slice of sets whose advice is followed", () => {
  it.each([0, 1])(
    "set %i passes after two rounds at the most, and nothing good is accused on the way",
    {
      timeout: 600_000,
    },
    async (seed) => {
      const { verdicts, turnedAgainst, unclear } = await closureOf(seed);
      expect(verdicts.at(-1)).toBe("pass");
      expect(verdicts.length).toBeLessThanOrEqual(3);
      expect({ turnedAgainst, unclear }).toEqual({ turnedAgainst: [], unclear: [] });
    },
  );
});
