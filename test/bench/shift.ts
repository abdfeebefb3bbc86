/** Copies of a photo that a person might have taken from nearly the same place: moved a little, with grain of their own. */
import sharp from "sharp";
import { findExifBlock } from "#goodgate/gather/exif-block.js";
import { jpegWithExif } from "../support/exif-writer.js";

/** Standard deviation of the grain laid over a copy, grey levels: that of a phone at ISO 125, no source. */
const GRAIN = 1.5;

export interface ShiftOptions {
  readonly seed: number;
  /** Moved by this many pixels each way, at the least and at the most. */
  readonly leastPx: number;
  readonly mostPx: number;
  readonly quality: number;
  /** The photo whose EXIF the copy takes over; itself unless said. */
  readonly exifFrom?: Uint8Array;
  /** How much later than that photo it says it was taken. */
  readonly secondsLater: number;
}

/** The photo moved, mirrored at the border it leaves open, grained and encoded again, with EXIF and a time of its own. */
export async function shiftedCopy(photo: Uint8Array, options: ShiftOptions): Promise<Uint8Array> {
  const { seed, leastPx, mostPx, quality, exifFrom = photo, secondsLater } = options;
  const { data, info } = await sharp(photo).raw().toBuffer({ resolveWithObject: true });
  const { width, height } = info;
  const random = stream(seed);
  const step = (): number => (leastPx + (random() % (mostPx - leastPx + 1))) * (random() % 2 === 0 ? 1 : -1);
  const dx = step();
  const dy = step();
  const grain = grainTable(random);
  const out = new Uint8ClampedArray(data.length);
  for (let y = 0, to = 0; y < height; y++) {
    const row = mirrored(y + dy, height) * width;
    for (let x = 0; x < width; x++) {
      const from = 3 * (row + mirrored(x + dx, width));
      const at = random();
      out[to++] = data[from] + grain[at & 0x3ff];
      out[to++] = data[from + 1] + grain[(at >>> 10) & 0x3ff];
      out[to++] = data[from + 2] + grain[(at >>> 20) & 0x3ff];
    }
  }
  const jpeg = await sharp(out, { raw: { width, height, channels: 3 } })
    .jpeg({ quality, chromaSubsampling: "4:2:0" })
    .toBuffer();
  const exif = findExifBlock(exifFrom);
  if (exif === undefined) throw new Error("expected a photo with EXIF");
  return jpegWithExif(jpeg, later(exif, secondsLater));
}

/** The same EXIF block with every time in it moved on: their texts have one length, so that nothing else moves. */
function later(block: Uint8Array, seconds: number): Uint8Array {
  const text = Buffer.from(block).toString("latin1");
  const moved = text.replace(
    /(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)\0/g,
    (_, year, month, day, ...clock) => {
      const [hour, minute, second] = clock.slice(0, 3).map(Number);
      const time = new Date(Date.UTC(+year, +month - 1, +day, hour, minute, second + seconds));
      return `${time.toISOString().slice(0, 19).replace("T", " ").replaceAll("-", ":")}\0`;
    },
  );
  return new Uint8Array(Buffer.from(moved, "latin1"));
}

function mirrored(at: number, size: number): number {
  return at < 0 ? -at : at >= size ? 2 * size - 2 - at : at;
}

/** 32-bit whole numbers. @see Marsaglia 2003, "Xorshift RNGs", section 3: shifts 13, 17, 5. */
function stream(start: number): () => number {
  let state = start | 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return state >>> 0;
  };
}

/** 1024 draws of the grain: sums of 12 even draws are near enough to normal. */
function grainTable(random: () => number): Float32Array {
  return Float32Array.from({ length: 1024 }, () => {
    let sum = -6;
    for (let k = 0; k < 12; k++) sum += random() / 2 ** 32;
    return GRAIN * sum;
  });
}
