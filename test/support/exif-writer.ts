/** Writes EXIF blocks tag by tag, malformed ones too, and puts them into JPEG, PNG and WebP files. */
import { crc32, deflateSync } from "node:zlib";

/** One tag: number, field type of TIFF 6.0, values. Rationals are pairs [numerator, denominator]. */
export type Entry =
  | { readonly tag: number; readonly type: "ascii"; readonly value: string }
  | { readonly tag: number; readonly type: "byte" | "short" | "long"; readonly value: readonly number[] }
  | {
      readonly tag: number;
      readonly type: "rational" | "srational";
      readonly value: readonly (readonly [number, number])[];
    }
  /** Raw field type, count and value field, for malformed tags. */
  | {
      readonly tag: number;
      readonly type: "broken";
      readonly code: number;
      readonly count: number;
      readonly field: number;
    };

export interface Directories {
  readonly ifd0?: readonly Entry[];
  readonly exif?: readonly Entry[];
  readonly gps?: readonly Entry[];
}

const CODES = { byte: 1, ascii: 2, short: 3, long: 4, rational: 5, srational: 10 } as const;

class Writer {
  readonly #bytes: number[] = [];
  readonly #little: boolean;
  constructor(little: boolean) {
    this.#little = little;
  }
  get length(): number {
    return this.#bytes.length;
  }
  put(value: number, size: number): void {
    for (let i = 0; i < size; i++) {
      const shift = 8 * (this.#little ? i : size - 1 - i);
      // Unsigned shift of the 32-bit pattern: negative numerators are written in two's complement.
      this.#bytes.push((value >>> shift) & 0xff);
    }
  }
  putAll(bytes: Iterable<number>): void {
    for (const byte of bytes) this.#bytes.push(byte);
  }
  done(): Uint8Array {
    return Uint8Array.from(this.#bytes);
  }
}

function payload(entry: Entry, little: boolean): { code: number; count: number; bytes: Uint8Array } {
  const writer = new Writer(little);
  switch (entry.type) {
    case "ascii":
      writer.putAll(Buffer.from(`${entry.value}\0`, "latin1"));
      return { code: CODES.ascii, count: writer.length, bytes: writer.done() };
    case "rational":
    case "srational":
      for (const [numerator, denominator] of entry.value) {
        writer.put(numerator, 4);
        writer.put(denominator, 4);
      }
      return { code: CODES[entry.type], count: entry.value.length, bytes: writer.done() };
    case "broken":
      writer.put(entry.field, 4);
      return { code: entry.code, count: entry.count, bytes: writer.done() };
    default: {
      const size = { byte: 1, short: 2, long: 4 }[entry.type];
      for (const value of entry.value) writer.put(value, size);
      return { code: CODES[entry.type], count: entry.value.length, bytes: writer.done() };
    }
  }
}

/**
 * A TIFF-headed EXIF block of up to three directories.
 * @param first where the first one stands; the bytes between it and the head are 0
 */
export function exifBlock(directories: Directories, little = true, first = 8): Uint8Array {
  const { ifd0 = [], exif, gps } = directories;
  const pointers: Entry[] = [];
  const sizeOf = (entries: readonly Entry[]): number => {
    let size = 2 + 12 * entries.length + 4;
    for (const entry of entries) {
      const { bytes } = payload(entry, little);
      if (bytes.length > 4) size += bytes.length + (bytes.length & 1);
    }
    return size;
  };
  const pointerCount = (exif ? 1 : 0) + (gps ? 1 : 0);
  const exifAt = first + sizeOf(ifd0) + 12 * pointerCount;
  const gpsAt = exifAt + (exif ? sizeOf(exif) : 0);
  if (exif) pointers.push({ tag: 0x8769, type: "long", value: [exifAt] });
  if (gps) pointers.push({ tag: 0x8825, type: "long", value: [gpsAt] });

  const writer = new Writer(little);
  writer.putAll(Buffer.from(little ? "II" : "MM"));
  writer.put(42, 2);
  writer.put(first, 4);
  while (writer.length < first) writer.put(0, 1);
  for (const entries of [[...ifd0, ...pointers], exif, gps]) {
    if (entries === undefined) continue;
    let dataAt = writer.length + 2 + 12 * entries.length + 4;
    const tail = new Writer(little);
    writer.put(entries.length, 2);
    for (const entry of entries) {
      const { code, count, bytes } = payload(entry, little);
      writer.put(entry.tag, 2);
      writer.put(code, 2);
      writer.put(count, 4);
      if (bytes.length <= 4) {
        writer.putAll(bytes);
        for (let i = bytes.length; i < 4; i++) writer.put(0, 1);
      } else {
        writer.put(dataAt, 4);
        tail.putAll(bytes);
        if (bytes.length & 1) tail.put(0, 1);
        dataAt += bytes.length + (bytes.length & 1);
      }
    }
    writer.put(0, 4);
    writer.putAll(tail.done());
  }
  return writer.done();
}

const concat = (...parts: Uint8Array[]): Uint8Array => new Uint8Array(Buffer.concat(parts));
const MARKER = Buffer.from("Exif\0\0", "latin1");

/** Puts an EXIF block into a JPEG, right after its start. */
export function jpegWithExif(jpeg: Uint8Array, block: Uint8Array): Uint8Array {
  const size = 2 + MARKER.length + block.length;
  return concat(
    jpeg.subarray(0, 2),
    Uint8Array.of(0xff, 0xe1, size >> 8, size & 0xff),
    MARKER,
    block,
    jpeg.subarray(2),
  );
}

function pngChunk(type: string, data: Uint8Array): Uint8Array {
  const body = concat(Buffer.from(type, "latin1"), data);
  const ends = Buffer.alloc(8);
  ends.writeUInt32BE(data.length, 0);
  ends.writeUInt32BE(crc32(body), 4);
  return concat(ends.subarray(0, 4), body, ends.subarray(4));
}

/** Length of a PNG's signature and header chunk, after which chunks of text may stand. */
const PNG_HEAD = 8 + 25;

/** Puts an EXIF block into a PNG: as chunk eXIf, or as the packed hex text older programs write. */
export function pngWithExif(png: Uint8Array, block: Uint8Array, way: "eXIf" | "zTXt" | "tEXt"): Uint8Array {
  const hex = Buffer.from(concat(MARKER, block)).toString("hex").replace(/.{72}/g, "$&\n");
  const text = Buffer.from(`\nexif\n${String(block.length + MARKER.length).padStart(8)}\n${hex}\n`);
  const keyword = Buffer.from("Raw profile type exif\0");
  const chunk = {
    eXIf: () => pngChunk("eXIf", block),
    zTXt: () => pngChunk("zTXt", concat(keyword, Uint8Array.of(0), deflateSync(text))),
    tEXt: () => pngChunk("tEXt", concat(keyword, text)),
  }[way]();
  return concat(png.subarray(0, PNG_HEAD), chunk, png.subarray(PNG_HEAD));
}

/** Appends an EXIF chunk to a WebP. */
export function webpWithExif(webp: Uint8Array, block: Uint8Array): Uint8Array {
  const head = Buffer.alloc(8);
  head.write("EXIF", 0, "latin1");
  head.writeUInt32LE(block.length, 4);
  const padded = block.length & 1 ? concat(block, Uint8Array.of(0)) : block;
  const out = Buffer.from(concat(webp, head, padded));
  out.writeUInt32LE(out.length - 8, 4);
  return new Uint8Array(out);
}
