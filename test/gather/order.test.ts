import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { compareNatural } from "#goodgate/gather/natural.js";
import { captureOrder } from "#goodgate/gather/order.js";

/** Names as cameras and people make them: letters, digits with leading zeros, brackets, dots, folders. */
const name = fc
  .array(
    fc.constantFrom(
      "jug",
      "Jug",
      "toad",
      "0",
      "1",
      "2",
      "10",
      "010",
      " ",
      "-",
      "_",
      ".",
      "(",
      "/",
      "é",
      "灯",
    ),
    {
      minLength: 1,
      maxLength: 8,
    },
  )
  .map((parts) => parts.join(""));

describe("natural order", () => {
  it("sorts numbers by value, folders by folder, copies after their original", () => {
    const sorted = [
      "jug.jpg",
      "jug1.jpg",
      "jug1 (2).jpg",
      // Code units decide between equal values: "02" before "2".
      "jug02.jpg",
      "jug2.jpg",
      "Jug9.jpg",
      "jug10.jpg",
      "jug99999999999999999998.jpg",
      "jug99999999999999999999.jpg",
      "lamp/10.jpg",
      "lamp2/1.jpg",
      "lamp10/1.jpg",
    ];
    expect([...sorted].reverse().sort(compareNatural)).toEqual(sorted);
  });

  it("is a total order: antisymmetric, transitive, 0 only for equal names", () => {
    fc.assert(
      fc.property(name, name, name, (a, b, c) => {
        expect(Math.sign(compareNatural(a, b))).toBe(-Math.sign(compareNatural(b, a)) + 0);
        expect(compareNatural(a, b) === 0).toBe(a === b);
        if (compareNatural(a, b) <= 0 && compareNatural(b, c) <= 0) {
          expect(compareNatural(a, c)).toBeLessThanOrEqual(0);
        }
      }),
      { seed: 1, numRuns: 3000 },
    );
  });

  it("puts counters in counting order, whatever stands around them", () => {
    fc.assert(
      fc.property(fc.nat(), fc.nat(), fc.constantFrom("IMG_", "jug (", ""), (a, b, before) => {
        const order = Math.sign(compareNatural(`${before}${a}.jpg`, `${before}${b}.jpg`));
        expect(order).toBe(Math.sign(a - b));
      }),
      { seed: 2 },
    );
  });

  it("gives one result whatever order the names come in", () => {
    fc.assert(
      fc.property(fc.uniqueArray(name, { maxLength: 12 }), (names) => {
        expect([...names].reverse().sort(compareNatural)).toEqual([...names].sort(compareNatural));
      }),
      { seed: 3 },
    );
  });
});

describe("capture order", () => {
  const photo = (file: string, capturedAt?: string) => ({
    file,
    exif: capturedAt === undefined ? {} : { capturedAt },
  });
  const files = (photos: ReturnType<typeof photo>[]): string[] =>
    captureOrder(photos).photos.map(({ file }) => file);

  it("is by capture time where every photo has one", () => {
    const photos = [photo("a", "2026-05-01T14:03:22"), photo("b", "2026-05-01T14:03:21")];
    expect(captureOrder(photos)).toMatchObject({ orderedBy: "capture time" });
    expect(files(photos)).toEqual(["b", "a"]);
  });

  it("is by natural name where one photo has no time", () => {
    const photos = [
      photo("toad10", "2026-05-01T14:00:00"),
      photo("toad9"),
      photo("toad1", "2026-05-01T15:00:00"),
    ];
    expect(captureOrder(photos).orderedBy).toBe("file name");
    expect(files(photos)).toEqual(["toad1", "toad9", "toad10"]);
  });

  it("uses subseconds as a decimal fraction, and natural names for ties", () => {
    const second = "2026-05-01T14:03:22";
    expect(
      files([
        photo("d", `${second}.5`),
        photo("b10", `${second}.45`),
        photo("b9", `${second}.450`),
        photo("a", `${second}.05`),
        photo("0", second),
      ]),
    ).toEqual(["0", "a", "b9", "b10", "d"]);
  });

  it("compares instants where all have an offset, local times where some lack it", () => {
    const early = "2026-05-01T14:00:00+02:00"; // 12:00 UTC
    const late = "2026-05-01T13:30:00+00:00";
    expect(files([photo("late", late), photo("early", early)])).toEqual(["early", "late"]);
    const local = photo("none", "2026-05-01T13:45:00");
    expect(files([photo("late", late), photo("early", early), local])).toEqual(["late", "none", "early"]);
  });

  it("of no photos is empty and by file name", () => {
    expect(captureOrder([])).toEqual({ orderedBy: "file name", photos: [] });
  });

  it("leaves its argument alone", () => {
    const photos = [photo("b"), photo("a")];
    captureOrder(photos);
    expect(photos.map(({ file }) => file)).toEqual(["b", "a"]);
  });
});
