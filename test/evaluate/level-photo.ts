import sharp from "sharp";
import { encodeSrgb } from "#goodgate/demo/faults.js";
import { decodeSrgb } from "../support/linear.js";

/**
 * A JPEG after its channels were multiplied in linear light, clipped and coded again, as an editor does; its metadata stay.
 *
 * @param gains red, green and blue
 */
export async function applyGains(jpeg: Uint8Array, gains: readonly number[]): Promise<Uint8Array> {
  const picture = sharp(jpeg);
  const { data, info } = await picture.clone().raw().toBuffer({ resolveWithObject: true });
  const tables = gains.map((gain) =>
    Uint8Array.from({ length: 256 }, (_, code) =>
      Math.round(encodeSrgb(Math.min(1, gain * decodeSrgb(code)))),
    ),
  );
  for (let i = 0; i < data.length; i++) data[i] = tables[i % 3][data[i]];
  const { width, height } = info;
  const kept = await sharp(jpeg).metadata();
  const out = sharp(data, { raw: { width, height, channels: 3 } }).jpeg({ quality: 95 });
  return kept.exif === undefined ? out.toBuffer() : withExif(await out.toBuffer(), kept.exif);
}

/** Puts an EXIF block behind a JPEG's first marker. */
function withExif(jpeg: Uint8Array, exif: Uint8Array): Uint8Array {
  const length = exif.length + 2;
  return Buffer.concat([
    jpeg.subarray(0, 2),
    Uint8Array.of(0xff, 0xe1, length >> 8, length & 255),
    exif,
    jpeg.subarray(2),
  ]);
}
