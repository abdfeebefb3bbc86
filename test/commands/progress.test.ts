import { describe, expect, test } from "vitest";
import { ProgressLine, progressText } from "#goodgate/commands/progress.js";
import { capturedIo } from "../support/io.js";

describe("progressText", () => {
  test("the time left follows from the rate", () => {
    expect(progressText({ stage: "photos", done: 12, of: 48 }, 0, 6000)).toBe(
      "Step 1 of 2: 12 of 48 photos, about 18 s left",
    );
    expect(progressText({ stage: "pairs", done: 11, of: 1201 }, 1, 2000)).toBe(
      "Step 2 of 2: 11 of 1201 pairs, about 4 min left",
    );
  });

  test("no time is told before there is a rate", () => {
    expect(progressText({ stage: "photos", done: 1, of: 48 }, 0, 100)).toBe("Step 1 of 2: 1 of 48 photos");
    expect(progressText({ stage: "photos", done: 1, of: 48 }, 1, 9000)).toBe("Step 1 of 2: 1 of 48 photos");
  });
});

describe("ProgressLine", () => {
  test("writes at most ten times a second, and a new step at once", () => {
    const io = capturedIo({ stderrIsTTY: true });
    let now = 0;
    const line = new ProgressLine(io.stderr, () => now);
    for (let done = 1; done <= 100; done++) {
      now = done;
      line.show({ stage: "photos", done, of: 100 });
    }
    line.show({ stage: "pairs", done: 1, of: 3 });
    expect(io.err().split("\r").slice(1)).toHaveLength(2);
    line.clear();
    line.clear();
    expect(io.err().endsWith("pairs\r\u001b[2K")).toBe(true);
  });

  test("never fills a narrow screen", () => {
    const io = capturedIo({ stderrIsTTY: true, columns: 20 });
    new ProgressLine(io.stderr, () => 0).show({ stage: "photos", done: 1, of: 100 });
    expect(io.err()).toBe("\r\u001b[2KStep 1 of 2: 1 of 1");
  });
});
