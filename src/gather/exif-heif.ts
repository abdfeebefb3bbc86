import { boxesIn, boxOf, latin1, viewOf } from "./boxes.js";

/**
 * The EXIF item of a HEIF or AVIF file, from its TIFF header on.
 * @param bytes the whole file
 * @returns a view on the bytes, or undefined where there is none; never throws
 * @see ISO/IEC 14496-12 (boxes meta, iinf, iloc, idat); ISO/IEC 23008-12, annex A.2.1 (Exif items); from memory
 */
export function heifExifBlock(bytes: Uint8Array): Uint8Array | undefined {
  try {
    const meta = boxOf(boxesIn(bytes), "meta");
    if (meta === undefined) return undefined;
    // A full box: version and flags come before what is in it.
    const inside = boxesIn(meta.subarray(4));
    const id = exifItem(boxOf(inside, "iinf"));
    const place = id === undefined ? undefined : placeOf(boxOf(inside, "iloc"), id);
    if (place === undefined) return undefined;
    const source = place.inIdat ? boxOf(inside, "idat") : bytes;
    const item = source?.subarray(place.start, place.start + place.length);
    if (item === undefined || item.length < 4) return undefined;
    return item.subarray(4 + viewOf(item).getUint32(0));
  } catch (error) {
    // Numbers that lie beyond the end of their box.
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}

/** The number of the first item of type "Exif". */
function exifItem(iinf: Uint8Array | undefined): number | undefined {
  if (iinf === undefined) return undefined;
  const entries = iinf.subarray(iinf[0] === 0 ? 6 : 8);
  for (const { type, body } of boxesIn(entries)) {
    if (type !== "infe" || body[0] < 2) continue;
    const view = viewOf(body);
    const long = body[0] >= 3;
    const id = long ? view.getUint32(4) : view.getUint16(4);
    const kindAt = long ? 10 : 8;
    if (latin1(body.subarray(kindAt, kindAt + 4)) === "Exif") return id;
  }
  return undefined;
}

interface Place {
  /** In box idat instead of in the file. */
  readonly inIdat: boolean;
  readonly start: number;
  readonly length: number;
}

/** Where an item's first extent lies: cameras write EXIF in one. */
function placeOf(iloc: Uint8Array | undefined, wanted: number): Place | undefined {
  if (iloc === undefined) return undefined;
  const reader = new Reader(iloc);
  const version = reader.next(4) >>> 24;
  const sizes = reader.next(2);
  const [offsetSize, lengthSize, baseSize, indexSize] = [12, 8, 4, 0].map((shift) => (sizes >> shift) & 15);
  const idSize = version < 2 ? 2 : 4;
  const items = reader.next(idSize);
  for (let i = 0; i < items; i++) {
    const id = reader.next(idSize);
    const method = version > 0 ? reader.next(2) & 15 : 0;
    reader.next(2);
    const base = reader.next(baseSize);
    const extents = reader.next(2);
    for (let k = 0; k < extents; k++) {
      if (version > 0) reader.next(indexSize);
      const start = base + reader.next(offsetSize);
      const length = reader.next(lengthSize);
      if (id === wanted) return method > 1 ? undefined : { inIdat: method === 1, start, length };
    }
  }
  return undefined;
}

/** Reads whole numbers of 0, 2, 4 or 8 bytes, one after another. */
class Reader {
  readonly #view: DataView;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#view = viewOf(bytes);
  }

  /** @throws RangeError beyond the end, and for another size */
  next(size: number): number {
    const at = this.#at;
    this.#at += size;
    switch (size) {
      case 0:
        return 0;
      case 2:
        return this.#view.getUint16(at);
      case 4:
        return this.#view.getUint32(at);
      case 8:
        return Number(this.#view.getBigUint64(at));
      default:
        throw new RangeError(`expected a number of 0, 2, 4 or 8 bytes, found ${size}`);
    }
  }
}
