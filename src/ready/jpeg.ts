import { DamagedFile } from "./damaged.js";

const SOI = 0xd8;
const EOI = 0xd9;
const SOS = 0xda;
const APP0 = 0xe0;
const APP1 = 0xe1;
const APP2 = 0xe2;
const APP14 = 0xee;
const COM = 0xfe;
const EXIF = Buffer.from("Exif\0\0", "latin1");
const JFIF = Buffer.from("JFIF\0", "latin1");
const PROFILE = Buffer.from("ICC_PROFILE\0", "latin1");
const ADOBE = Buffer.from("Adobe", "latin1");

interface Segment {
  readonly marker: number;
  /** The marker, its length and its content. */
  readonly bytes: Uint8Array;
  readonly content: Uint8Array;
}

/**
 * A JPEG file with its EXIF replaced and nothing else beside the picture but its colour profile: XMP, IPTC, comments,
 * maker's segments, and all that follows the picture (second pictures, gain maps, motion) go. The picture's own bytes
 * are copied.
 *
 * @param exif from the TIFF header on; undefined for none
 * @param profile a colour profile to put in; the file's own stays where none is given
 * @throws DamagedFile where the file's segments do not lead to one whole picture
 * @see ITU-T T.81, annex B; Exif 2.32, 4.7.2; ICC.1:2010, B.4
 */
export function cleanJpeg(bytes: Uint8Array, exif: Uint8Array | undefined, profile?: Uint8Array): Uint8Array {
  const { segments, picture } = partsOf(bytes);
  const jfif = segments.filter(({ marker, content }) => marker === APP0 && startsWith(content, JFIF));
  const rest = segments.filter(
    ({ marker, content }) =>
      !isApplication(marker) ||
      (marker === APP2 && profile === undefined && startsWith(content, PROFILE)) ||
      (marker === APP14 && startsWith(content, ADOBE)),
  );
  return Buffer.concat([
    Uint8Array.of(0xff, SOI),
    // A thumbnail may follow JFIF's fourteen bytes.
    ...jfif.slice(0, 1).map(({ content }) => segmentOf(APP0, withoutThumbnail(content))),
    ...(exif ? [segmentOf(APP1, Buffer.concat([EXIF, exif]))] : []),
    ...(profile ? profileSegments(profile) : []),
    ...rest.map((segment) => segment.bytes),
    picture,
  ]);
}

/** A profile in as many segments as it takes, each with its place among them. */
function profileSegments(profile: Uint8Array): Uint8Array[] {
  const most = 0xffff - 2 - PROFILE.length - 2;
  const count = Math.ceil(profile.length / most);
  if (count > 255) throw new DamagedFile("its colour profile is too long");
  return Array.from({ length: count }, (_, k) =>
    segmentOf(
      APP2,
      Buffer.concat([PROFILE, Uint8Array.of(k + 1, count), profile.subarray(k * most, (k + 1) * most)]),
    ),
  );
}

/** The compressed picture of a JPEG file, from its first scan to its end, and the tables before it: what a clean copy must not change. */
export function jpegPicture(bytes: Uint8Array): Uint8Array {
  const { segments, picture } = partsOf(bytes);
  return Buffer.concat([
    ...segments.filter(({ marker }) => !isApplication(marker)).map((segment) => segment.bytes),
    picture,
  ]);
}

/** Applications' segments and comments: the rest are tables that the picture needs. */
function isApplication(marker: number): boolean {
  return (marker >= APP0 && marker <= 0xef) || marker === COM;
}

function withoutThumbnail(content: Uint8Array): Uint8Array {
  if (content.length < 14) throw new DamagedFile("its JFIF segment is too short");
  const kept = content.slice(0, 14);
  kept[12] = 0;
  kept[13] = 0;
  return kept;
}

function segmentOf(marker: number, content: Uint8Array): Uint8Array {
  const length = content.length + 2;
  if (length > 0xffff) throw new DamagedFile("its EXIF does not fit into a segment");
  return Buffer.concat([Uint8Array.of(0xff, marker, length >> 8, length & 0xff), content]);
}

/** Segments before the first scan, and the bytes of the picture from there to its end-of-image marker. */
function partsOf(bytes: Uint8Array): { segments: Segment[]; picture: Uint8Array } {
  if (bytes[0] !== 0xff || bytes[1] !== SOI) throw new DamagedFile("it does not begin as a JPEG file");
  const segments: Segment[] = [];
  let at = 2;
  while (at + 4 <= bytes.length) {
    if (bytes[at] !== 0xff || bytes[at + 1] === 0xff || bytes[at + 1] === 0) {
      // Fill bytes, and the junk some writers leave between segments: not copied.
      at++;
      continue;
    }
    const marker = bytes[at + 1];
    if (marker === SOS) return { segments, picture: bytes.subarray(at, endOfPicture(bytes, at)) };
    if (marker === EOI) break;
    if (marker === 0x01 || (marker >= 0xd0 && marker <= SOI)) {
      at += 2;
      continue;
    }
    const length = (bytes[at + 2] << 8) | bytes[at + 3];
    if (length < 2 || at + 2 + length > bytes.length) break;
    segments.push({
      marker,
      bytes: bytes.subarray(at, at + 2 + length),
      content: bytes.subarray(at + 4, at + 2 + length),
    });
    at += 2 + length;
  }
  throw new DamagedFile("it ends before its picture begins");
}

/** Where the picture ends that begins with the scan at `start`: behind its end-of-image marker. */
function endOfPicture(bytes: Uint8Array, start: number): number {
  let at = start;
  while (at + 2 <= bytes.length) {
    const marker = bytes[at] === 0xff ? bytes[at + 1] : 0;
    if (marker === EOI) return at + 2;
    // Between scans of a progressive picture stand tables; in its data, stuffed zeros, fill bytes and restart markers.
    const hasLength = marker >= 0xc0 && marker <= COM && !(marker >= 0xd0 && marker <= SOI);
    if (hasLength) {
      if (isApplication(marker)) throw new DamagedFile("it holds a foreign segment within its picture");
      at += 2 + ((bytes[at + 2] << 8) | bytes[at + 3]);
    } else at += 1;
  }
  throw new DamagedFile("its picture ends early");
}

function startsWith(bytes: Uint8Array, wanted: Uint8Array): boolean {
  return bytes.length >= wanted.length && wanted.every((byte, i) => bytes[i] === byte);
}
