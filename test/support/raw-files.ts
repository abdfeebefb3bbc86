/**
 * Minimal raw files by hand: the containers of the camera makers with a JPEG inside, without raw data. They follow what
 * is publicly told of the formats; no real file of most of them can be had, so they prove no more than that.
 */
import { type Directories, type Entry, exifBlock } from "./exif-writer.js";

/** The tags a raw file's directories hold here, as a photo's EXIF would. */
export interface RawParts {
  readonly exif: Directories;
  /** The picture to find. */
  readonly preview: Uint8Array;
  /** A smaller one that stands before it. */
  readonly thumbnail: Uint8Array;
}

const long = (tag: number, ...value: number[]): Entry => ({ tag, type: "long", value });
const short = (tag: number, ...value: number[]): Entry => ({ tag, type: "short", value });
const concat = (...parts: readonly (Uint8Array | Buffer)[]): Uint8Array =>
  new Uint8Array(Buffer.concat(parts));

/** A block whose first directory holds `entries` too, which may depend on where the block ends. */
function blockWith(exif: Directories, entries: (end: number) => readonly Entry[], first = 8): Uint8Array {
  const at = (end: number): Uint8Array =>
    exifBlock({ ...exif, ifd0: [...(exif.ifd0 ?? []), ...entries(end)] }, true, first);
  const { length } = at(0);
  return at(length);
}

/** A directory alone, to stand where a pointer says. */
const directory = (entries: readonly Entry[]): Uint8Array => exifBlock({ ifd0: entries }).subarray(8);
const DIRECTORY_HEAD = 2 + 4;

/** DNG: preview as the single strip of the first directory, raw data in a directory below (DNG 1.6, from memory). */
export function dng({ exif, preview, thumbnail }: RawParts): Uint8Array {
  const below = (at: number): Uint8Array => directory([long(0x201, at), long(0x202, thumbnail.length)]);
  const belowBytes = below(0).length;
  const block = blockWith(exif, (end) => [
    short(0x103, 7),
    long(0x111, end + belowBytes + thumbnail.length),
    long(0x117, preview.length),
    long(0x14a, end),
  ]);
  return concat(block, below(block.length + belowBytes), thumbnail, preview);
}

/** NEF and ARW: previews under JPEG tags, one in a directory below. */
export function nef({ exif, preview, thumbnail }: RawParts): Uint8Array {
  const belowBytes = DIRECTORY_HEAD + 24;
  const block = blockWith(exif, (end) => [
    long(0x201, end + belowBytes),
    long(0x202, thumbnail.length),
    long(0x14a, end),
  ]);
  const previewAt = block.length + belowBytes + thumbnail.length;
  return concat(block, directory([long(0x201, previewAt), long(0x202, preview.length)]), thumbnail, preview);
}
export const arw = nef;

/** CR2: a mark behind the head, the preview as a strip. */
export function cr2({ exif, preview, thumbnail }: RawParts): Uint8Array {
  const block = blockWith(
    exif,
    (end) => [
      short(0x103, 6),
      long(0x111, end + thumbnail.length),
      long(0x117, preview.length),
      long(0x201, end),
      long(0x202, thumbnail.length),
    ],
    16,
  );
  block.set(Buffer.from("CR\x02\0"), 8);
  return concat(block, thumbnail, preview);
}

/** ORF: a number of its own in the head, the preview where only the maker's notes tell of it. */
export function orf({ exif, preview, thumbnail }: RawParts): Uint8Array {
  const block = blockWith(exif, (end) => [long(0x201, end), long(0x202, thumbnail.length)]);
  block.set(Buffer.from("RO"), 2);
  return concat(block, thumbnail, Buffer.from("OLYMPUS\0maker's notes"), preview);
}

/** RW2: a number of its own in the head, the preview as the value of a tag. */
export function rw2({ exif, preview }: RawParts): Uint8Array {
  const block = blockWith(exif, (end) => [
    { tag: 0x2e, type: "broken", code: 7, count: preview.length, field: end },
    // Strips of no declared end, as these cameras write them.
    long(0x111, 0xffffffff),
    long(0x117, 1),
  ]);
  block.set(Buffer.from("U\0"), 2);
  return concat(block, preview);
}

const RAF_HEAD = 148;

/** RAF: a head with the place of a JPEG, which holds the EXIF. `preview` must bring its own. */
export function raf({ preview }: Pick<RawParts, "preview">): Uint8Array {
  const head = Buffer.alloc(RAF_HEAD);
  head.write("FUJIFILMCCD-RAW 0201", "latin1");
  head.writeUInt32BE(RAF_HEAD, 84);
  head.writeUInt32BE(preview.length, 88);
  return concat(head, preview);
}

const box = (type: string, ...parts: readonly (Uint8Array | Buffer)[]): Uint8Array => {
  const body = concat(...parts);
  const head = Buffer.alloc(8);
  head.writeUInt32BE(8 + body.length, 0);
  head.write(type, 4, "latin1");
  return concat(head, body);
};
const uuid = (name: string, ...parts: readonly Uint8Array[]): Uint8Array =>
  box("uuid", Buffer.from(name, "hex"), ...parts);

/** CR3: EXIF in three blocks, a small preview in a box, the large one as the first sample of a track. */
export function cr3({ exif, preview, thumbnail }: RawParts): Uint8Array {
  const prvw = Buffer.alloc(16);
  prvw.writeUInt32BE(thumbnail.length, 12);
  const head = box("ftyp", Buffer.from("crx \0\0\0\x01crx isom", "latin1"));
  const metadata = uuid(
    "85c0b687820f11e08111f4ce462b6a48",
    box("CMT1", exifBlock({ ifd0: exif.ifd0 ?? [] })),
    box("CMT2", exifBlock({ ifd0: exif.exif ?? [] })),
    box("CMT4", exifBlock({ ifd0: exif.gps ?? [] })),
  );
  const boxes = (previewAt: number): Uint8Array => {
    const sizes = Buffer.alloc(16);
    sizes.writeUInt32BE(1, 8);
    sizes.writeUInt32BE(preview.length, 12);
    const places = Buffer.alloc(16);
    places.writeUInt32BE(1, 4);
    places.writeBigUInt64BE(BigInt(previewAt), 8);
    const table = box("stbl", box("stsz", sizes), box("co64", places));
    const moov = box("moov", metadata, box("trak", box("mdia", box("minf", table))));
    const small = uuid("eaf42b5e1c984b88b9fbb7dc406e4d16", Buffer.alloc(8), box("PRVW", prvw, thumbnail));
    return concat(head, moov, small, Buffer.from("\0\0\0\0mdat", "latin1"));
  };
  return concat(boxes(boxes(0).length), preview);
}
