import { crc32 } from "node:zlib";
import { DamagedFile } from "./damaged.js";

const SIGNATURE = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a);
/** What a picture is made of and how it is shown. Text, times, unknown and private chunks go. */
const KEPT: ReadonlySet<string> = new Set([
  ..."IHDR PLTE IDAT IEND tRNS cHRM gAMA iCCP sBIT sRGB cICP mDCV cLLI bKGD pHYs".split(" "),
]);

/**
 * A PNG file with its EXIF replaced, and without text, XMP, times, further chunks and all that follows its end. The
 * picture's chunks are copied.
 *
 * @param exif from the TIFF header on; undefined for none
 * @throws DamagedFile where the chunks do not lead to the file's end
 * @see W3C, Portable Network Graphics (Third Edition), 4.6 and 11
 */
export function cleanPng(bytes: Uint8Array, exif: Uint8Array | undefined): Uint8Array {
  const parts: Uint8Array[] = [SIGNATURE];
  let waiting = exif;
  for (const { name, whole } of chunksOf(bytes)) {
    if (!KEPT.has(name)) continue;
    if (waiting && name === "IDAT") {
      parts.push(chunkOf("eXIf", waiting));
      waiting = undefined;
    }
    parts.push(whole);
  }
  return Buffer.concat(parts);
}

/** The picture data of a PNG file: what a clean copy must not change. */
export function pngPicture(bytes: Uint8Array): Uint8Array {
  return Buffer.concat(
    [...chunksOf(bytes)]
      .filter(({ name }) => /^(?:IHDR|PLTE|tRNS|IDAT)$/.test(name))
      .map(({ whole }) => whole),
  );
}

function* chunksOf(bytes: Uint8Array): Generator<{ name: string; whole: Uint8Array }> {
  if (!SIGNATURE.every((byte, i) => bytes[i] === byte))
    throw new DamagedFile("it does not begin as a PNG file");
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = SIGNATURE.length;
  while (at + 12 <= bytes.length) {
    const length = view.getUint32(at);
    const end = at + 12 + length;
    if (end > bytes.length) break;
    const name = Buffer.from(bytes.subarray(at + 4, at + 8)).toString("latin1");
    yield { name, whole: bytes.subarray(at, end) };
    if (name === "IEND") return;
    at = end;
  }
  throw new DamagedFile("it ends early");
}

function chunkOf(name: string, content: Uint8Array): Uint8Array {
  const body = Buffer.concat([Buffer.from(name, "latin1"), content]);
  const whole = Buffer.alloc(body.length + 8);
  whole.writeUInt32BE(content.length, 0);
  whole.set(body, 4);
  whole.writeUInt32BE(crc32(body), whole.length - 4);
  return whole;
}
