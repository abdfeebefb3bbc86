import { DamagedFile } from "./damaged.js";

const KEPT: ReadonlySet<string> = new Set(["VP8X", "VP8 ", "VP8L", "ALPH", "ICCP", "ANIM", "ANMF"]);
/** Bits of the first byte of VP8X that say what chunks follow. */
const HAS_EXIF = 0x08;
const HAS_XMP = 0x04;

/**
 * A WebP file with its EXIF replaced, and without XMP, unknown chunks and all that follows its end. The picture's chunks
 * are copied.
 *
 * @param exif from the TIFF header on; undefined for none. A simple file (without VP8X) has no place for it and gets none.
 * @throws DamagedFile where the chunks do not lead to the file's end
 * @see RFC 9649, 2.5 to 2.7
 */
export function cleanWebp(bytes: Uint8Array, exif: Uint8Array | undefined): Uint8Array {
  const chunks = [...chunksOf(bytes)].filter(({ name }) => KEPT.has(name));
  const extended = chunks.some(({ name }) => name === "VP8X");
  const parts = chunks.map(({ name, whole }) =>
    name === "VP8X" ? flagged(whole, exif !== undefined) : whole,
  );
  if (extended && exif) parts.push(chunkOf("EXIF", exif));
  const body = Buffer.concat([Buffer.from("WEBP", "latin1"), ...parts]);
  const head = Buffer.alloc(8);
  head.write("RIFF", "latin1");
  head.writeUInt32LE(body.length, 4);
  return Buffer.concat([head, body]);
}

/** The picture data of a WebP file: what a clean copy must not change. */
export function webpPicture(bytes: Uint8Array): Uint8Array {
  return Buffer.concat(
    [...chunksOf(bytes)]
      .filter(({ name }) => /^(?:VP8 |VP8L|ALPH|ANMF)$/.test(name))
      .map(({ whole }) => whole),
  );
}

function flagged(whole: Uint8Array, hasExif: boolean): Uint8Array {
  const copy = whole.slice();
  copy[8] = (copy[8] & ~(HAS_EXIF | HAS_XMP)) | (hasExif ? HAS_EXIF : 0);
  return copy;
}

function* chunksOf(bytes: Uint8Array): Generator<{ name: string; whole: Uint8Array }> {
  const text = (at: number) => Buffer.from(bytes.subarray(at, at + 4)).toString("latin1");
  if (bytes.length < 12 || text(0) !== "RIFF" || text(8) !== "WEBP")
    throw new DamagedFile("it does not begin as a WebP file");
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const end = 8 + view.getUint32(4, true);
  if (end > bytes.length) throw new DamagedFile("it ends early");
  let at = 12;
  while (at + 8 <= end) {
    const length = view.getUint32(at + 4, true);
    const next = at + 8 + length + (length & 1);
    if (next > end) throw new DamagedFile("one of its chunks ends early");
    yield { name: text(at), whole: bytes.subarray(at, next) };
    at = next;
  }
}

function chunkOf(name: string, content: Uint8Array): Uint8Array {
  const whole = Buffer.alloc(8 + content.length + (content.length & 1));
  whole.write(name, "latin1");
  whole.writeUInt32LE(content.length, 4);
  whole.set(content, 8);
  return whole;
}
