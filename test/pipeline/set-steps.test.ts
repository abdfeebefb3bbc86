import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { kernelModule } from "#goodgate/kernels/kernels.js";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { createCells } from "#goodgate/measure/photo/cells.js";
import type { ReadPhoto } from "#goodgate/pipeline/photo-data.js";
import type * as setSteps from "#goodgate/pipeline/set-steps.js";
import type { SetTask } from "#goodgate/pipeline/set-task.js";
import type { LightTask } from "#goodgate/pipeline/whole-set.js";
import { Threads } from "#goodgate/runtime/threads.js";

let thread: Threads<typeof setSteps>;
beforeEach(() => {
  thread = new Threads<typeof setSteps>(1, new URL("../../dist/pipeline/set-steps.js", import.meta.url), {
    kernels: kernelModule(),
    store: { folder: undefined, lasting: false },
  });
});
afterEach(() => thread.close());

const data = { data: { features: createFeatures(0, 1200, 900), cells: createCells(80, 60) } };
const photo = (file: string): ReadPhoto =>
  ({
    file,
    contentHash: file,
    widthPx: 4000,
    heightPx: 3000,
    exif: {},
    tiles: { columns: 0, rows: 0, laplacianVariance: [], noiseSigma: [], clippedAnyRatio: [] },
    data,
  }) as unknown as ReadPhoto;
const set: SetTask = {
  photos: [photo("jug.jpg"), photo("lamp.jpg")],
  pairs: [],
  turnedSubject: undefined,
};
const solved = [{}, {}] as unknown as LightTask["solved"];

describe("the thread for the whole set", () => {
  it("finds photos without keypoints to be apart, each with its subject in the middle", async () => {
    expect(await thread.run("choosePairs", [data, data])).toEqual([[0, 1]]);
    const { parts } = await thread.run("solveCameras", { ...set, spanDeg: 360 });
    expect(parts.map(({ photos }) => photos)).toEqual([[0], [1]]);
    const { facts, views } = await thread.run("findSubject", { ...set, parts });
    expect(facts.map(({ source }) => source)).toEqual(["centre", "centre"]);
    const light = await thread.run("measureLight", { ...set, parts, views, solved });
    expect(light.photos.map(({ file }) => file)).toEqual(["jug.jpg", "lamp.jpg"]);
  });

  it("ends when it is told to, with the reason", async () => {
    const stop = new AbortController();
    const measuring = thread.run("solveCameras", { ...set, spanDeg: 360 }, stop.signal);
    stop.abort(new Error("enough"));
    await expect(measuring).rejects.toThrow("enough");
  });

  it("passes on what goes wrong in it", async () => {
    await expect(thread.run("choosePairs", [{} as never])).rejects.toThrow();
  });
});
