import { describe, expect, it } from "vitest";
import { PHOTO_LIMIT_S, photoLimitMs, unreadableAfter } from "#goodgate/gather/time-limit.js";
import { TimeLimitError } from "#goodgate/runtime/threads.js";

describe("the time a photo may take", () => {
  it("grows with the threads that share a core", () => {
    expect(photoLimitMs(1, 2)).toBe(1000 * PHOTO_LIMIT_S);
    expect(photoLimitMs(2, 2)).toBe(1000 * PHOTO_LIMIT_S);
    expect(photoLimitMs(8, 2)).toBe(4000 * PHOTO_LIMIT_S);
  });

  it("leaves a fault's words alone, colons and all, and makes no way out of them", () => {
    const error = new Error("Cannot read jug: lamp");
    expect(unreadableAfter(error)).toEqual({ reason: "measuring it failed (Cannot read jug: lamp)" });
  });

  it("is told when it runs out, with the way out", () => {
    expect(unreadableAfter(new TimeLimitError(60_000))).toEqual({
      reason: "it took longer than 60 s to read",
      wayOut: "save a JPEG copy",
    });
    expect(unreadableAfter(new Error("a fault\u001b[31m")).reason).toBe("measuring it failed (a fault?[31m)");
  });
});
