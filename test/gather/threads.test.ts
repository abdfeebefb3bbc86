import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { availableCores, createPool, type Pool } from "#goodgate/gather/threads.js";

interface Act {
  readonly act: "echo" | "wait" | "throw" | "exit" | "crash" | "spin" | "age" | "write";
  readonly value?: unknown;
  readonly ms?: number;
}

const ECHO = new URL("./threads/echo.js", import.meta.url);
let pool: Pool<Act, unknown>;
beforeEach(() => {
  pool = createPool<Act, unknown>(2, ECHO);
});
afterEach(() => pool.close());

const echo = (value: unknown): Act => ({ act: "echo", value });

describe("a pool of threads", () => {
  it("answers in the order of the tasks, whichever ends first", async () => {
    const tasks: Act[] = Array.from({ length: 12 }, (_, i) => ({ act: "wait", value: i, ms: 5 * (11 - i) }));
    const ended: number[] = [];
    const outcomes = await pool.map(tasks, { onDone: (index) => ended.push(index) });
    expect(outcomes).toEqual(tasks.map(({ value }) => ({ ok: true, value })));
    expect([...ended].sort((a, b) => a - b)).toEqual(tasks.map((_, i) => i));
  });

  it.each(["throw", "exit", "crash"] as const)("a task that does %s fails alone", async (act) => {
    const tasks: Act[] = [echo(0), { act, value: "no" }, echo(2), echo(3), { act, value: "no" }, echo(5)];
    const outcomes = await pool.map(tasks);
    expect(outcomes.map(({ ok }) => ok)).toEqual([true, false, true, true, false, true]);
    expect(outcomes[5]).toEqual({ ok: true, value: 5 });
  });

  it("keeps the name and message of an error, and where it arose in the thread", async () => {
    await expect(pool.run({ act: "throw", value: "too tall" })).rejects.toMatchObject({
      name: "RangeError",
      message: "too tall",
      stack: expect.stringContaining("echo.js"),
    });
  });

  it("survives more crashes than it has threads", async () => {
    const outcomes = await pool.map(Array.from({ length: 7 }, (): Act => ({ act: "exit" })));
    expect(outcomes.every(({ ok }) => !ok)).toBe(true);
    expect(await pool.run(echo("still here"))).toBe("still here");
  });

  it("shares memory with its threads instead of copying it", async () => {
    const shared = new Uint8Array(new SharedArrayBuffer(4));
    await pool.run({ act: "write", value: shared });
    expect(shared[0]).toBe(42);
    const back = (await pool.run(echo(shared))) as Uint8Array;
    expect(back.buffer).toBeInstanceOf(SharedArrayBuffer);
  });

  it("fails a task that cannot be posted, and goes on", async () => {
    const outcomes = await pool.map([echo(() => 1), echo(1), echo(() => 2), echo(2)]);
    expect(outcomes.map(({ ok }) => ok)).toEqual([false, true, false, true]);
  });

  it("ends a batch within a second of being told to, even in the middle of a loop", async () => {
    const stop = new AbortController();
    const tasks = Array.from({ length: 50 }, (): Act => ({ act: "spin" }));
    const batch = pool.map(tasks, { signal: stop.signal });
    await new Promise((resolve) => setTimeout(resolve, 200));
    const told = performance.now();
    stop.abort(new Error("enough"));
    await expect(batch).rejects.toThrow("enough");
    await pool.close();
    expect(performance.now() - told).toBeLessThan(1000);
  });

  it("ends a task that takes longer than it may, in a loop or asleep, and leaves the rest intact", async () => {
    const tasks: Act[] = [{ act: "spin" }, echo(1), { act: "wait", value: 0, ms: 60_000 }, echo(3), echo(4)];
    const started = performance.now();
    const outcomes = await pool.map(tasks, { limitMs: 1500 });
    expect(performance.now() - started).toBeLessThan(10_000);
    expect(outcomes.map(({ ok }) => ok)).toEqual([false, true, false, true, true]);
    expect(outcomes[0]).toMatchObject({
      error: { name: "TimeLimitError", message: "it took longer than 1.5 s" },
    });
    expect(await pool.run(echo("still here"))).toBe("still here");
  });

  it("counts the time of each task alone, not its time in the queue", async () => {
    const tasks = Array.from({ length: 10 }, (_, i): Act => ({ act: "wait", value: i, ms: 800 }));
    const outcomes = await pool.map(tasks, { limitMs: 3000 });
    expect(outcomes.every(({ ok }) => ok)).toBe(true);
  });

  it("works on after a batch was ended", async () => {
    const stop = new AbortController();
    const batch = pool.map([{ act: "spin" }, { act: "spin" }, { act: "spin" }], { signal: stop.signal });
    stop.abort(new Error("enough"));
    await expect(batch).rejects.toThrow("enough");
    expect(await pool.map([echo(1), echo(2)])).toEqual([
      { ok: true, value: 1 },
      { ok: true, value: 2 },
    ]);
  });

  it("refuses a batch whose signal is aborted already", async () => {
    await expect(pool.map([echo(1)], { signal: AbortSignal.abort(new Error("early")) })).rejects.toThrow(
      "early",
    );
  });

  it("starts a thread before there is a task for it", async () => {
    pool.start();
    await new Promise((resolve) => setTimeout(resolve, 500));
    pool.start();
    expect(await pool.run({ act: "age" })).toBeGreaterThan(200);
    await pool.close();
    pool.start();
    await expect(pool.run(echo(1))).rejects.toThrow("closed");
  });

  it("ends threads without work when it is to rest, and goes on with the next task", async () => {
    const working = pool.run({ act: "wait", value: "done", ms: 300 });
    expect(await pool.run(echo(1))).toBe(1);
    await pool.rest();
    expect(await Promise.all([working, pool.run(echo(2)), pool.run(echo(3))])).toEqual(["done", 2, 3]);
  });

  it("fails what waits when it is closed, and takes nothing after", async () => {
    const batch = pool.map([{ act: "spin" }, { act: "spin" }, echo(1)]);
    await pool.close();
    expect((await batch).map(({ ok }) => ok)).toEqual([false, false, false]);
    await expect(pool.run(echo(1))).rejects.toThrow("closed");
    await pool.close();
  });

  it("of no tasks answers nothing", async () => {
    expect(await pool.map([])).toEqual([]);
  });

  it.each([0, -1, 1.5, Number.NaN])("of %s threads is refused", (jobs) => {
    expect(() => createPool(jobs, ECHO)).toThrow(RangeError);
  });

  it("knows at least one core", () => {
    expect(availableCores()).toBeGreaterThanOrEqual(1);
  });
});
