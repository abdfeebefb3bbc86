import { EXIF_DIRECTORY, KEPT_TAGS, ORIENTATION, PIXEL_TAGS } from "./exif-tags.js";

/** Bytes of one value of each TIFF type, by its number (TIFF 6.0, section 2; Exif 2.32, 4.6.2). */
const TYPE_BYTES = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8];
/** Longest value that stays: text of a camera is short, and what is longer may be anything. */
const MOST_VALUE_BYTES = 4096;

interface Entry {
  readonly tag: number;
  readonly type: number;
  readonly count: number;
  readonly value: Uint8Array;
}

export interface KeptExif {
  /** The picture was made smaller: what counts its pixels goes too. */
  readonly resized?: boolean;
  /** The picture was turned upright: its orientation is 1. */
  readonly turned?: boolean;
}

/**
 * An EXIF block without anything private: a new TIFF structure that holds copies of the tags in {@link KEPT_TAGS} and nothing
 * else; no thumbnail, no maker note, no bytes between.
 *
 * @param block from the TIFF header on
 * @returns undefined where there is no block that can be read, or nothing of it stays
 */
export function cleanExif(
  block: Uint8Array | undefined,
  { resized = false, turned = false }: KeptExif = {},
): Uint8Array | undefined {
  if (block === undefined || block.length < 14) return undefined;
  const view = new DataView(block.buffer, block.byteOffset, block.byteLength);
  const order = view.getUint16(0);
  if (order !== 0x4949 && order !== 0x4d4d) return undefined;
  const little = order === 0x4949;
  const stays = (tag: number) => KEPT_TAGS.has(tag) && !(resized && PIXEL_TAGS.has(tag));
  const first = view.getUint32(4, little);
  const picture = entriesAt(view, first, little, stays).map((entry) =>
    turned && entry.tag === ORIENTATION ? uprightOf(entry, little) : entry,
  );
  const [pointer] = entriesAt(view, first, little, (tag) => tag === EXIF_DIRECTORY);
  const at = pointer && pointer.type === 4 ? viewOf(pointer.value).getUint32(0, little) : undefined;
  const exposure = at === undefined ? [] : entriesAt(view, at, little, stays);
  if (picture.length + exposure.length === 0) return undefined;
  return written(picture, exposure, little);
}

function uprightOf(entry: Entry, little: boolean): Entry {
  const value = new Uint8Array(2);
  viewOf(value).setUint16(0, 1, little);
  return { ...entry, type: 3, count: 1, value };
}

/** The entries of a directory that are whole and wanted; none where the directory is damaged. */
function entriesAt(view: DataView, at: number, little: boolean, wanted: (tag: number) => boolean): Entry[] {
  const entries = new Map<number, Entry>();
  if (at + 2 > view.byteLength) return [];
  const count = view.getUint16(at, little);
  for (let k = 0; k < count; k++) {
    const place = at + 2 + 12 * k;
    if (place + 12 > view.byteLength) break;
    const tag = view.getUint16(place, little);
    if (!wanted(tag) || entries.has(tag)) continue;
    const type = view.getUint16(place + 2, little);
    const values = view.getUint32(place + 4, little);
    const bytes = (TYPE_BYTES[type] ?? 0) * values;
    if (bytes === 0 || bytes > MOST_VALUE_BYTES) continue;
    const from = bytes <= 4 ? place + 8 : view.getUint32(place + 8, little);
    if (from + bytes > view.byteLength) continue;
    const value = new Uint8Array(view.buffer, view.byteOffset + from, bytes).slice();
    entries.set(tag, { tag, type, count: values, value });
  }
  return [...entries.values()].sort((a, b) => a.tag - b.tag);
}

/** A TIFF structure of two directories, the second only where it holds anything. */
function written(picture: readonly Entry[], exposure: readonly Entry[], little: boolean): Uint8Array {
  const pointer: Entry = { tag: EXIF_DIRECTORY, type: 4, count: 1, value: new Uint8Array(4) };
  const firstEntries = exposure.length > 0 ? [...picture, pointer].sort((a, b) => a.tag - b.tag) : picture;
  const secondAt = 8 + sizeOf(firstEntries);
  viewOf(pointer.value).setUint32(0, secondAt, little);
  const out = new Uint8Array(secondAt + (exposure.length > 0 ? sizeOf(exposure) : 0));
  const view = viewOf(out);
  view.setUint16(0, little ? 0x4949 : 0x4d4d);
  view.setUint16(2, 42, little);
  view.setUint32(4, 8, little);
  writeDirectory(out, 8, firstEntries, little);
  if (exposure.length > 0) writeDirectory(out, secondAt, exposure, little);
  return out;
}

function sizeOf(entries: readonly Entry[]): number {
  return 6 + 12 * entries.length + entries.reduce((sum, { value }) => sum + outside(value), 0);
}

/** Bytes that a value takes outside its entry; each begins at an even place. */
function outside({ length }: Uint8Array): number {
  return length <= 4 ? 0 : length + (length & 1);
}

function writeDirectory(out: Uint8Array, at: number, entries: readonly Entry[], little: boolean): void {
  const view = viewOf(out);
  view.setUint16(at, entries.length, little);
  let free = at + 6 + 12 * entries.length;
  entries.forEach(({ tag, type, count, value }, k) => {
    const place = at + 2 + 12 * k;
    view.setUint16(place, tag, little);
    view.setUint16(place + 2, type, little);
    view.setUint32(place + 4, count, little);
    if (value.length <= 4) out.set(value, place + 8);
    else {
      view.setUint32(place + 8, free, little);
      out.set(value, free);
      free += outside(value);
    }
  });
  // No directory follows: what would be the thumbnail's.
  view.setUint32(at + 2 + 12 * entries.length, 0, little);
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}
