import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { availableCores, Threads } from "#goodgate/runtime/threads.js";

type Echo = typeof import("./threads/echo.js");

const ECHO = new URL("./threads/echo.js", import.meta.url);
let threads: Threads<Echo>;
beforeEach(() => {
  threads = new Threads<Echo>(2, ECHO);
});
afterEach(() => threads.close());

/** Shared with tasks that spin, and with the module where it is to tell that it was loaded. */
let begun: Int32Array;
const untilBegun = async (tasks: number): Promise<void> => {
  while (Atomics.load(begun, 0) < tasks) await new Promise((resolve) => setTimeout(resolve, 5));
};
beforeEach(() => {
  begun = new Int32Array(new SharedArrayBuffer(4));
});

describe("threads", () => {
  it("answer in the order of the tasks, whichever ends first", async () => {
    const tasks = Array.from({ length: 12 }, (_, i) => ({ value: i, ms: 5 * (11 - i) }));
    const ended: number[] = [];
    const outcomes = await threads.map("wait", tasks, { onDone: (index) => ended.push(index) });
    expect(outcomes).toEqual(tasks.map(({ value }) => ({ ok: true, value })));
    expect([...ended].sort((a, b) => a - b)).toEqual(tasks.map((_, i) => i));
  });

  it.each(["fail", "exit", "crash"] as const)(
    "survive a task that does %s, which fails alone",
    async (step) => {
      const others = threads.map("echo", [0, 1, 2, 3]);
      const failed = await threads.map(step, ["no", "no", "no"] as never[]);
      expect(failed.map(({ ok }) => ok)).toEqual([false, false, false]);
      expect(await others).toEqual([0, 1, 2, 3].map((value) => ({ ok: true, value })));
      expect(await threads.run("echo", "still here")).toBe("still here");
    },
  );

  it("keep the name and message of an error, and where it arose in the thread", async () => {
    await expect(threads.run("fail", "too tall")).rejects.toMatchObject({
      name: "RangeError",
      message: "too tall",
      stack: expect.stringContaining("echo.js"),
    });
  });

  it("share memory instead of copying it", async () => {
    const shared = new Uint8Array(new SharedArrayBuffer(4));
    await threads.run("write", shared);
    expect(shared[0]).toBe(42);
    const back = (await threads.run("echo", shared)) as Uint8Array;
    expect(back.buffer).toBeInstanceOf(SharedArrayBuffer);
  });

  it("fail a task that cannot be posted, and go on", async () => {
    const outcomes = await threads.map("echo", [() => 1, 1, () => 2, 2]);
    expect(outcomes.map(({ ok }) => ok)).toEqual([false, true, false, true]);
  });

  it("fail every task where the module cannot be loaded, instead of waiting for ever", async () => {
    const lost = new Threads<Echo>(2, new URL("./threads/no-start.js", import.meta.url));
    const outcomes = await lost.map("echo", [1, 2, 3, 4, 5]);
    expect(outcomes.map(({ ok }) => ok)).toEqual([false, false, false, false, false]);
    await lost.close();
  });

  it("end a batch when told to, even in the middle of a loop", async () => {
    const stop = new AbortController();
    const batch = threads.map("spin", new Array<Int32Array>(50).fill(begun), { signal: stop.signal });
    await untilBegun(2);
    stop.abort(new Error("enough"));
    await expect(batch).rejects.toThrow("enough");
    expect(Atomics.load(begun, 0)).toBe(2);
    expect(await threads.map("echo", [1, 2])).toEqual([
      { ok: true, value: 1 },
      { ok: true, value: 2 },
    ]);
  });

  it("end a task that takes longer than it may, in a loop or asleep, and leave the rest intact", async () => {
    const late = { ok: false, error: { name: "TimeLimitError", message: "it took longer than 0.5 s" } };
    expect(await threads.map("spin", [begun], { limitMs: 500 })).toMatchObject([late]);
    const tasks = [
      { value: 0, ms: 60_000 },
      { value: 1, ms: 0 },
    ];
    // The second has a new thread to wait for.
    const outcomes = await threads.map("wait", tasks, { limitMs: 500 });
    expect(outcomes[0]).toMatchObject(late);
    expect(await threads.run("echo", "still here")).toBe("still here");
  });

  it("count the time of each task alone, not its time in the queue", async () => {
    const tasks = Array.from({ length: 10 }, (_, i) => ({ value: i, ms: 800 }));
    const outcomes = await threads.map("wait", tasks, { limitMs: 3000 });
    expect(outcomes.every(({ ok }) => ok)).toBe(true);
  });

  it("refuse a batch whose signal is aborted already", async () => {
    const signal = AbortSignal.abort(new Error("early"));
    await expect(threads.map("echo", [1], { signal })).rejects.toThrow("early");
  });

  it("start before there is a task", async () => {
    const early = new Threads<Echo>(2, ECHO, { loaded: begun });
    early.start();
    await untilBegun(1);
    early.start();
    expect(await early.run("echo", 1)).toBe(1);
    expect(Atomics.load(begun, 0)).toBe(1);
    await early.close();
    early.start();
    await expect(early.run("echo", 1)).rejects.toThrow("closed");
  });

  it("rest once their work is done, and others go on with the next task", async () => {
    const before = await threads.run("which", undefined);
    const working = threads.run("wait", { value: "done", ms: 300 });
    await threads.rest();
    expect(await working).toBe("done");
    expect(await threads.run("which", undefined)).not.toBe(before);
  });

  it("fail what waits when they are closed, and take nothing after", async () => {
    const batch = threads.map("spin", [begun, begun, begun]);
    await untilBegun(2);
    await threads.close();
    expect((await batch).map(({ ok }) => ok)).toEqual([false, false, false]);
    await expect(threads.run("echo", 1)).rejects.toThrow("closed");
    await threads.close();
  });

  it("of no tasks answer nothing", async () => {
    expect(await threads.map("echo", [])).toEqual([]);
  });

  it.each([0, -1, 1.5, Number.NaN])("%s of them are refused", (jobs) => {
    expect(() => new Threads(jobs, ECHO)).toThrow(RangeError);
  });

  it("know at least one core", () => {
    expect(availableCores()).toBeGreaterThanOrEqual(1);
  });
});
