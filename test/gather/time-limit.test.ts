import { describe, expect, it } from "vitest";
import { TimeLimitError } from "#goodgate/gather/threads.js";
import { failureReason, PHOTO_LIMIT_S, photoLimitMs } from "#goodgate/gather/time-limit.js";

describe("the time a photo may take", () => {
  it("grows with the threads that share a core", () => {
    expect(photoLimitMs(1, 2)).toBe(1000 * PHOTO_LIMIT_S);
    expect(photoLimitMs(2, 2)).toBe(1000 * PHOTO_LIMIT_S);
    expect(photoLimitMs(8, 2)).toBe(4000 * PHOTO_LIMIT_S);
  });

  it("is told when it runs out, with the way out", () => {
    expect(failureReason(new TimeLimitError(60_000))).toBe(
      "it took longer than 60 s to read: save a JPEG copy",
    );
    expect(failureReason(new Error("a fault\u001b[31m"))).toBe("measuring it failed (a fault?[31m)");
  });
});
