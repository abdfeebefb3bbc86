import sharp from "sharp";
import type { GreyImage } from "#goodgate/types/pixels.js";

/** Where to cut a picture before it is brought to working size, px of the full picture. */
export interface Cut {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** A picture file as an upright grey working picture with a long edge of at most `longEdgePx`. */
export async function workingPicture(file: string, longEdgePx = 1200, cut?: Cut): Promise<GreyImage> {
  const upright = sharp(file, { failOn: "none" }).rotate().toColourspace("srgb").removeAlpha();
  const full = await upright.raw({ depth: "uchar" }).toBuffer({ resolveWithObject: true });
  let picture = sharp(full.data, { raw: full.info });
  if (cut !== undefined)
    picture = sharp(await picture.extract(cut).raw().toBuffer(), {
      raw: { ...cut, channels: full.info.channels },
    });
  const { width, height } = cut ?? full.info;
  if (Math.max(width, height) > longEdgePx)
    picture = picture.resize(longEdgePx, longEdgePx, { fit: "inside" });
  const { data, info } = await picture
    .toColourspace("b-w")
    .extractChannel(0)
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data: new Uint8Array(data) };
}
