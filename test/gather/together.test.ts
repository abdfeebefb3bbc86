import { afterEach, describe, expect, it } from "vitest";
import type { ReadPhoto } from "#goodgate/gather/read-photo.js";
import { createPool, type Pool } from "#goodgate/gather/threads.js";
import type { SetResult, SetTask, Together, TogetherTask } from "#goodgate/gather/together.js";
import { kernelModule } from "#goodgate/kernels/kernels.js";
import { createFeatures } from "#goodgate/measure/features/features.js";
import { createCells } from "#goodgate/measure/photo/cells.js";

let pool: Pool<SetTask, SetResult>;
const start = (): void => {
  pool = createPool(1, new URL("../../dist/gather/together-worker.js", import.meta.url), {
    kernels: kernelModule(),
    store: { folder: undefined, lasting: false },
  });
};
afterEach(() => pool.close());

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
const task: TogetherTask = {
  kind: "together",
  photos: [photo("jug.jpg"), photo("lamp.jpg")],
  pairs: [],
  solved: [{}, {}] as unknown as TogetherTask["solved"],
  spanDeg: 360,
  turnedSubject: undefined,
};

describe("the thread for the whole set", () => {
  it("finds photos without keypoints to be apart, each with its subject in the middle", async () => {
    start();
    expect(await pool.run({ kind: "vote", photos: [data, data] })).toEqual([[0, 1]]);
    const { around, subjects, light } = (await pool.run(task)) as Together;
    expect(around.parts.map(({ photos }) => photos)).toEqual([["jug.jpg"], ["lamp.jpg"]]);
    expect(subjects.map(({ source }) => source)).toEqual(["centre", "centre"]);
    expect(light.photos.map(({ file }) => file)).toEqual(["jug.jpg", "lamp.jpg"]);
  });

  it("ends when it is told to, with the reason", async () => {
    start();
    const stop = new AbortController();
    const measuring = pool.run(task, stop.signal);
    stop.abort(new Error("enough"));
    await expect(measuring).rejects.toThrow("enough");
  });

  it("passes on what goes wrong in it", async () => {
    start();
    await expect(pool.run({ ...task, pairs: [{} as never] })).rejects.toThrow();
  });
});
