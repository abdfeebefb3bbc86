import { viewOf } from "../boxes.js";

/** Tags that say where pictures lie (TIFF 6.0; 0x14a TIFF/EP; 0x2e Panasonic, from memory). */
const TAG = {
  jpgFromRaw: 0x2e,
  stripOffsets: 0x111,
  stripByteCounts: 0x117,
  tileOffsets: 0x144,
  tileByteCounts: 0x145,
  subDirectories: 0x14a,
  jpegOffset: 0x201,
  jpegLength: 0x202,
} as const;
const WANTED = new Set<number>(Object.values(TAG));

/** Bytes a value takes by TIFF field type; a picture's place is stored in one of these. */
const TYPE_BYTES: Readonly<Record<number, number>> = { 1: 1, 3: 2, 4: 4, 7: 1, 13: 4 };

/** More than any raw file has; a hostile one may chain directories without end. */
const MOST_DIRECTORIES = 64;
const MOST_ENTRIES = 1000;
const MOST_VALUES = 1 << 16;

/** A stretch of the file, as its directories declare it: it may lie beyond the file's end. */
export interface Stretch {
  readonly start: number;
  readonly length: number;
}

export interface DeclaredPictures {
  /** What could be one whole JPEG: stored under JPEG tags, or as a single strip. */
  readonly single: readonly Stretch[];
  /** Every strip and tile, those above among them. */
  readonly all: readonly Stretch[];
}

/**
 * Where a TIFF-like raw file (DNG, CR2, NEF, ARW, ORF, RW2, PEF) says that its pictures lie.
 * @param bytes a whole file that begins with "II" or "MM", whatever number follows; never throws for a damaged one
 */
export function declaredPictures(bytes: Uint8Array): DeclaredPictures {
  const single: Stretch[] = [];
  const all: Stretch[] = [];
  for (const directory of directories(bytes)) {
    const jpeg = pairs(directory.get(TAG.jpegOffset), directory.get(TAG.jpegLength));
    const strips = pairs(directory.get(TAG.stripOffsets), directory.get(TAG.stripByteCounts));
    const tiles = pairs(directory.get(TAG.tileOffsets), directory.get(TAG.tileByteCounts));
    const { start, count } = directory.get(TAG.jpgFromRaw) ?? { start: 0, count: 0 };
    const inTag = count > 4 ? [{ start, length: count }] : [];
    if (strips.length === 1) single.push(...strips);
    single.push(...jpeg, ...inTag);
    all.push(...jpeg, ...strips, ...tiles, ...inTag);
  }
  return { single, all };
}

/** Some makers put this for a start and say it in a tag of their own. */
const ELSEWHERE = 0xffffffff;

function pairs(offsets: Entry | undefined, lengths: Entry | undefined): Stretch[] {
  const [starts, sizes] = [offsets?.values ?? [], lengths?.values ?? []];
  if (starts.length !== sizes.length) return [];
  return starts.map((start, i) => ({ start, length: sizes[i] })).filter(({ start }) => start !== ELSEWHERE);
}

interface Entry {
  readonly count: number;
  /** Where the values stand in the file. */
  readonly start: number;
  readonly values: readonly number[];
}

/** Wanted entries of every directory: the chain, and those that directories point to. */
function directories(bytes: Uint8Array): Map<number, Entry>[] {
  const little = bytes[0] === 0x49;
  const view = viewOf(bytes);
  const found: Map<number, Entry>[] = [];
  const waiting = bytes.length < 8 ? [] : [view.getUint32(4, little)];
  const seen = new Set<number>();
  while (waiting.length > 0 && found.length < MOST_DIRECTORIES) {
    const at = waiting.shift()!;
    if (seen.has(at) || at + 2 > bytes.length) continue;
    seen.add(at);
    const entries = view.getUint16(at, little);
    const end = at + 2 + 12 * entries;
    if (entries === 0 || entries > MOST_ENTRIES || end > bytes.length) continue;
    const directory = new Map<number, Entry>();
    for (let entryAt = at + 2; entryAt < end; entryAt += 12) {
      const tag = view.getUint16(entryAt, little);
      if (WANTED.has(tag)) directory.set(tag, readEntry(view, entryAt, little));
    }
    found.push(directory);
    waiting.push(...(directory.get(TAG.subDirectories)?.values ?? []));
    if (end + 4 <= bytes.length && view.getUint32(end, little) > 0) waiting.push(view.getUint32(end, little));
  }
  return found;
}

function readEntry(view: DataView, at: number, little: boolean): Entry {
  const size = TYPE_BYTES[view.getUint16(at + 2, little)] ?? 0;
  const count = view.getUint32(at + 4, little);
  const start = size * count <= 4 ? at + 8 : view.getUint32(at + 8, little);
  const values: number[] = [];
  if (size >= 2 && count <= MOST_VALUES && start + size * count <= view.byteLength) {
    for (let i = 0; i < count; i++) {
      values.push(size === 2 ? view.getUint16(start + 2 * i, little) : view.getUint32(start + 4 * i, little));
    }
  }
  return { count, start, values };
}
