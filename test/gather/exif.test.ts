import { describe, expect, it } from "vitest";
import { ev100, readExif, readExifBlock } from "#goodgate/gather/exif.js";
import {
  type Directories,
  type Entry,
  exifBlock,
  jpegWithExif,
  pngWithExif,
  webpWithExif,
} from "../support/exif-writer.js";
import { jpeg, png, quarters, webp } from "../support/pictures.js";

const read = (directories: Directories, little = true) => readExifBlock(exifBlock(directories, little));
const rational = (tag: number, numerator: number, denominator: number): Entry => ({
  tag,
  type: "rational",
  value: [[numerator, denominator]],
});
const short = (tag: number, ...value: number[]): Entry => ({ tag, type: "short", value });
const ascii = (tag: number, value: string): Entry => ({ tag, type: "ascii", value });

const PHONE: Directories = {
  ifd0: [ascii(0x010f, "Lamplight"), ascii(0x0110, "Prompter 7"), short(0x0112, 6)],
  exif: [
    rational(0x829a, 1, 120),
    rational(0x829d, 18, 10),
    short(0x8827, 400),
    ascii(0x9003, "2026:05:01 14:03:22"),
    ascii(0x9011, "+02:00"),
    short(0x9209, 0x19),
    rational(0x920a, 425, 100),
    ascii(0x9291, "45"),
    short(0xa402, 0),
    short(0xa403, 1),
    rational(0xa404, 2, 1),
    short(0xa405, 26),
    ascii(0xa434, "Prompter 7 back camera"),
  ],
  gps: [
    {
      tag: 2,
      type: "rational",
      value: [
        [52, 1],
        [30, 1],
        [0, 1],
      ],
    },
    {
      tag: 4,
      type: "rational",
      value: [
        [13, 1],
        [24, 1],
        [0, 1],
      ],
    },
  ],
};
const PHONE_EXIF = {
  make: "Lamplight",
  model: "Prompter 7",
  lens: "Prompter 7 back camera",
  exposureTimeS: 1 / 120,
  fNumber: 1.8,
  iso: 400,
  ev100: expect.closeTo(6.603, 3) as number,
  focalLengthMm: 4.25,
  focalLength35Mm: 26,
  digitalZoom: 2,
  flashFired: true,
  exposureMode: "auto",
  whiteBalance: "manual",
  orientation: 6,
  capturedAt: "2026-05-01T14:03:22.45+02:00",
  hasLocation: true,
};

describe("exposure value", () => {
  // Worked out from the definition (Kerr 2007, The APEX Additive System): log2(N^2 / t) - log2(S / 100).
  it.each([
    { fNumber: 1.8, exposureTimeS: 1 / 120, iso: 400, stops: 6.603 },
    { fNumber: 8, exposureTimeS: 1 / 60, iso: 800, stops: 8.907 },
    { fNumber: 8, exposureTimeS: 1 / 125, iso: 100, stops: 12.966 },
    { fNumber: 16, exposureTimeS: 1 / 125, iso: 100, stops: 14.966 },
  ])("at f/$fNumber, $exposureTimeS s, ISO $iso is $stops stops", ({ stops, ...tags }) => {
    expect(ev100(tags)).toBeCloseTo(stops, 3);
  });

  it("takes the APEX values where the plain ones are absent", () => {
    // f/8 is Av 6, 1/64 s is Tv 6, ISO 400 is two stops over 100.
    expect(ev100({ apertureValue: 6, timeValue: 6, iso: 400 })).toBe(10);
    expect(ev100({ fNumber: 8, timeValue: 6, iso: 400 })).toBe(10);
    expect(ev100({ apertureValue: 6, exposureTimeS: 1 / 64, iso: 400 })).toBe(10);
  });

  it("prefers the plain values", () => {
    expect(ev100({ fNumber: 8, exposureTimeS: 1 / 64, iso: 100, apertureValue: 1, timeValue: 1 })).toBe(12);
  });

  it("is absent where time, aperture or sensitivity is", () => {
    expect(ev100({ fNumber: 8, iso: 100 })).toBeUndefined();
    expect(ev100({ exposureTimeS: 1 / 60, iso: 100 })).toBeUndefined();
    expect(ev100({ fNumber: 8, exposureTimeS: 1 / 60 })).toBeUndefined();
  });

  it("ignores APEX values that no exposure has", () => {
    expect(ev100({ fNumber: 8, timeValue: -2147483648, iso: 100 })).toBeUndefined();
  });
});

describe("EXIF tags", () => {
  it.each([true, false])("are read in either byte order (little end first: %s)", async (little) => {
    expect(await read(PHONE, little)).toEqual(PHONE_EXIF);
  });

  it("are absent where out of range, never zero", async () => {
    const exif = await read({
      ifd0: [short(0x0112, 0)],
      exif: [
        rational(0x829a, 0, 0),
        rational(0x829d, 0, 1),
        short(0x8827, 0),
        { tag: 0x920a, type: "srational", value: [[-1, 1]] },
        short(0xa402, 7),
        short(0xa403, 9),
        rational(0xa404, 0, 1),
        short(0xa405, 0),
      ],
    });
    expect(exif).toEqual({ hasLocation: false });
  });

  it("leave the subject's distance absent where it is unknown or infinite", async () => {
    expect((await read({ exif: [rational(0x9206, 85, 100)] })).subjectDistanceM).toBe(0.85);
    expect((await read({ exif: [rational(0x9206, 0, 1)] })).subjectDistanceM).toBeUndefined();
    expect((await read({ exif: [rational(0x9206, 0xffffffff, 1)] })).subjectDistanceM).toBeUndefined();
    expect((await read({ exif: [rational(0x9206, 1, 0)] })).subjectDistanceM).toBeUndefined();
  });

  it("leave the digital zoom absent where its denominator is 0, or it is under 1", async () => {
    expect(await read({ exif: [rational(0xa404, 1, 0)] })).toEqual({ hasLocation: false });
    expect(await read({ exif: [rational(0xa404, 1, 2)] })).toEqual({ hasLocation: false });
    expect(await read({ exif: [rational(0xa404, 1, 1)] })).toEqual({ digitalZoom: 1, hasLocation: false });
  });

  it.each([
    [0x19, true],
    [0x01, true],
    [0x18, false],
    [0x10, false],
    [0x00, false],
    [0xffff, undefined],
  ])("flash %i means fired: %s", async (value, fired) => {
    expect((await read({ exif: [short(0x9209, value)] })).flashFired).toBe(fired);
  });

  it.each([1, 2, 3, 4, 5, 6, 7, 8])("orientation %i is kept", async (orientation) => {
    expect((await read({ ifd0: [short(0x0112, orientation)] })).orientation).toBe(orientation);
  });

  it("take the sensitivity that SensitivityType names where the 16-bit tag overflows", async () => {
    const overflow = (type: number) =>
      read({
        exif: [
          short(0x8827, 65535),
          short(0x8830, type),
          { tag: 0x8831, type: "long", value: [80000] },
          { tag: 0x8832, type: "long", value: [102400] },
          { tag: 0x8833, type: "long", value: [204800] },
        ],
      });
    expect((await overflow(1)).iso).toBe(80000);
    expect((await overflow(2)).iso).toBe(102400);
    expect((await overflow(3)).iso).toBe(204800);
    expect((await read({ exif: [short(0x8827, 200, 0)] })).iso).toBe(200);
    expect((await read({ exif: [{ tag: 0x8832, type: "long", value: [0xffffffff] }] })).iso).toBeUndefined();
  });

  it("clean strings of NULs, control characters and spaces", async () => {
    const exif = await read({ ifd0: [ascii(0x010f, "  Lamp\x1b[31mlight \0rest"), ascii(0x0110, " \0\0 ")] });
    expect(exif.make).toBe("Lamp[31mlight");
    expect(exif).not.toHaveProperty("model");
  });
});

describe("capture time", () => {
  const at = (date: string, subSec?: string, offset?: string) =>
    read({
      exif: [
        ascii(0x9003, date),
        ...(offset === undefined ? [] : [ascii(0x9011, offset)]),
        ...(subSec === undefined ? [] : [ascii(0x9291, subSec)]),
      ],
    }).then((exif) => exif.capturedAt);

  it("is ISO 8601 with subseconds and offset where stored", async () => {
    expect(await at("2026:05:01 14:03:22")).toBe("2026-05-01T14:03:22");
    expect(await at("2026:05:01 14:03:22", "45")).toBe("2026-05-01T14:03:22.45");
    expect(await at("2026:05:01 14:03:22", "05", "-09:30")).toBe("2026-05-01T14:03:22.05-09:30");
  });

  it("is not shifted by this machine's time zone", async () => {
    const before = process.env.TZ;
    try {
      for (const zone of ["Pacific/Auckland", "America/Los_Angeles"]) {
        process.env.TZ = zone;
        // An hour that does not exist in either zone's spring must come through as well.
        expect(await at("2026:03:08 02:30:00")).toBe("2026-03-08T02:30:00");
      }
    } finally {
      if (before === undefined) delete process.env.TZ;
      else process.env.TZ = before;
    }
  });

  it.each([
    "0000:00:00 00:00:00",
    "2026:02:30 10:00:00",
    "2026:13:01 10:00:00",
    "2026:05:01 24:00:00",
    "    :  :     :  :  ",
    "",
  ])("is absent for %j", async (date) => {
    expect(await at(date)).toBeUndefined();
  });

  it("leaves out subseconds and offsets that are none", async () => {
    expect(await at("2026:05:01 14:03:22", "  ", "   :  ")).toBe("2026-05-01T14:03:22");
    expect(await at("2026:05:01 14:03:22", "abc", "+2")).toBe("2026-05-01T14:03:22");
  });
});

describe("location", () => {
  const degrees = (tag: number): Entry => ({
    tag,
    type: "rational",
    value: [
      [52, 1],
      [30, 1],
      [0, 1],
    ],
  });
  it("is there where latitude and longitude are", async () => {
    expect((await read({ gps: [degrees(2), degrees(4)] })).hasLocation).toBe(true);
    expect((await read({ gps: [ascii(2, "52.5"), ascii(4, "13.4")] })).hasLocation).toBe(true);
  });
  it("is not there with a GPS directory of other tags, half a place, or 0/0", async () => {
    const nothing: Entry = {
      tag: 2,
      type: "rational",
      value: [
        [0, 0],
        [0, 0],
        [0, 0],
      ],
    };
    expect((await read({ gps: [ascii(0x1d, "2026:05:01")] })).hasLocation).toBe(false);
    expect((await read({ gps: [degrees(2)] })).hasLocation).toBe(false);
    expect((await read({ gps: [nothing, degrees(4)] })).hasLocation).toBe(false);
  });
  it("never puts coordinates into the result", async () => {
    expect(JSON.stringify(await read(PHONE))).not.toMatch(/52|13\.4/);
  });
});

describe("malformed EXIF", () => {
  it("costs only the malformed tag", async () => {
    const broken: Entry = { tag: 0x829a, type: "broken", code: 5, count: 1, field: 0xfffffff0 };
    const { ifd0 = [], exif = [] } = PHONE;
    const read1 = await read({ ifd0, exif: [broken, ...exif.slice(1)] });
    const { exposureTimeS: _t, ev100: _e, ...rest } = PHONE_EXIF;
    expect(read1).toEqual({ ...rest, hasLocation: false });
  });

  it("with an unknown field type or a huge count does not throw, and takes no time", async () => {
    for (const entry of [
      { tag: 0x8827, type: "broken", code: 99, count: 1, field: 0 },
      { tag: 0x8827, type: "broken", code: 3, count: 0xffffffff, field: 8 },
      { tag: 0x829a, type: "broken", code: 5, count: 0xffffffff, field: 8 },
      { tag: 0xa434, type: "broken", code: 2, count: 0xffffffff, field: 8 },
    ] as const) {
      const before = process.cpuUsage();
      const exif = await read({ ifd0: [ascii(0x010f, "Lamplight")], exif: [entry, short(0xa405, 26)] });
      expect(exif).toEqual({ make: "Lamplight", focalLength35Mm: 26, hasLocation: false });
      // Of the processor, not of the clock, which runs on while others have it.
      expect(process.cpuUsage(before).user).toBeLessThan(1e6);
    }
  });

  it("that is cut, empty or noise gives what can be read, and never throws", async () => {
    const block = exifBlock(PHONE);
    for (let length = 0; length < block.length; length++) {
      expect(await readExifBlock(block.subarray(0, length))).toHaveProperty("hasLocation");
    }
    for (const bytes of [[], [0xff], [0xff, 0xd8], [0xff, 0xd8, 0xff, 0xe1, 0, 0]]) {
      expect(await readExif(Uint8Array.from(bytes))).toEqual({ hasLocation: false });
    }
  });
});

describe("the EXIF block", () => {
  const block = exifBlock(PHONE);

  it("is found in a JPEG, after other segments too", async () => {
    const plain = await jpeg(quarters());
    expect(await readExif(jpegWithExif(plain, block))).toEqual(PHONE_EXIF);
    const comment = Uint8Array.of(0xff, 0xfe, 0, 6, 0xff, 0xe1, 0, 8);
    const both = jpegWithExif(plain, block);
    expect(await readExif(Buffer.concat([both.subarray(0, 2), comment, both.subarray(2)]))).toEqual(
      PHONE_EXIF,
    );
  });

  it.each(["eXIf", "zTXt", "tEXt"] as const)("is found in a PNG's %s", async (way) => {
    expect(await readExif(pngWithExif(await png(quarters()), block, way))).toEqual(PHONE_EXIF);
  });

  it("is found in a WebP", async () => {
    expect(await readExif(webpWithExif(await webp(quarters()), block))).toEqual(PHONE_EXIF);
    const exif = await readExif(await webp(quarters(), { IFD0: { Make: "Lamplight" } }));
    expect(exif.make).toBe("Lamplight");
  });

  it("is the file itself in a TIFF", async () => {
    expect(await readExif(block)).toEqual(PHONE_EXIF);
  });

  it("is not there in a plain file", async () => {
    for (const bytes of [await jpeg(quarters()), await png(quarters()), await webp(quarters())]) {
      expect(await readExif(bytes)).toEqual({ hasLocation: false });
    }
  });
});
