import type { RgbImage } from "../types/pixels.js";
import { decodePhoto, isTurnedByDecoding, loadSharp, MAX_MEGAPIXELS } from "./decode.js";
import { UnreadablePhoto } from "./errors.js";
import { pictureIn } from "./open-photo.js";
import { PHOTO_LIMIT_S } from "./time-limit.js";

/** A photo made smaller, to be looked at. */
export interface SmallPhoto {
  /** As stored; see `orientation`. */
  readonly rgb: RgbImage;
  /** How to turn it upright, 1 to 8 as in EXIF. */
  readonly orientation: number;
  /** The colour profile of its code values; absent where there is none. */
  readonly profile?: Uint8Array;
}

/**
 * Decodes a photo at a long edge of at most `longEdgePx`. A JPEG is decoded at a half, a quarter or an eighth of its size,
 * where that is large enough: 12 megapixels take a third of the time that whole decoding takes, and a quarter of the
 * memory or less.
 *
 * @throws UnreadablePhoto where there is no picture to be had
 */
export async function shrinkPhoto(file: string, bytes: Uint8Array, longEdgePx: number): Promise<SmallPhoto> {
  const found = await pictureIn(file, bytes);
  if (found === undefined)
    throw new UnreadablePhoto({ reason: "it is a raw photo without a preview inside" });
  const { picture, exif } = found;
  const sharp = loadSharp();
  const turned = isTurnedByDecoding(picture);
  const size = { width: longEdgePx, height: longEdgePx, fit: "inside", withoutEnlargement: true } as const;
  try {
    const { icc, compression } = await sharp(picture, { limitInputPixels: false }).metadata();
    const source =
      compression === "hevc"
        ? rawOf(sharp, await decodePhoto(picture))
        : sharp(picture, { failOn: "none", ignoreIcc: true, limitInputPixels: MAX_MEGAPIXELS * 1e6 });
    const { data, info } = await source
      .timeout({ seconds: PHOTO_LIMIT_S })
      .resize(size)
      .removeAlpha()
      .toColourspace("srgb")
      .raw({ depth: "uchar" })
      .toBuffer({ resolveWithObject: true });
    return {
      rgb: { width: info.width, height: info.height, data },
      orientation: turned ? 1 : (exif.orientation ?? 1),
      ...(icc && { profile: icc }),
    };
  } catch (error) {
    if (error instanceof UnreadablePhoto) throw error;
    throw new UnreadablePhoto({ reason: "its picture cannot be decoded" }, { cause: error });
  }
}

function rawOf(sharp: ReturnType<typeof loadSharp>, { width, height, data }: RgbImage) {
  return sharp(data, { raw: { width, height, channels: 3 } });
}
