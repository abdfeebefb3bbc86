import { describe, expect, it } from "vitest";
import { measureAroundAside } from "#goodgate/gather/aside.js";
import { measureAround } from "#goodgate/measure/around/around.js";

const photo = (n: number) => ({
  features: {
    x: Float32Array.of(10 * n, 20),
    y: Float32Array.of(5, 6 * n),
    widthPx: 1200,
    heightPx: 900,
  },
  focalLength35Mm: 26,
});
const photos = [photo(1), photo(2), photo(3)];

describe("the geometry in a thread of its own", () => {
  it("gives what it gives here", async () => {
    const options = { spanDeg: 360, turnedSubject: undefined };
    expect(await measureAroundAside(undefined, photos, [], options)).toEqual(
      measureAround(photos, [], options),
    );
  });

  it("ends when it is told to, with the reason", async () => {
    const stop = new AbortController();
    const measuring = measureAroundAside(stop.signal, photos, [], {});
    stop.abort(new Error("enough"));
    await expect(measuring).rejects.toThrow("enough");
    await expect(measureAroundAside(stop.signal, photos, [], {})).rejects.toThrow("enough");
  });

  it("passes on what goes wrong in it", async () => {
    await expect(measureAroundAside(undefined, photos, [{} as never], {})).rejects.toThrow();
  });
});
