import { loadSharp } from "../gather/decode.js";
import { openPhoto } from "../gather/open-photo.js";
import { type SmallPhoto, shrinkPhoto } from "../gather/shrink.js";
import { cropUpright, turnUpright, uprightSize } from "../measure/photo/upright.js";
import { cleanJpeg } from "../ready/jpeg.js";
import { level } from "../ready/level.js";
import type { Cut, PhotoOrder, PhotoPictures, Picture, PictureSizes } from "../report/page/pictures.js";
import type { RgbImage } from "../types/pixels.js";

const LARGE_QUALITY = 78;
const THUMB_QUALITY = 72;
/** Detail is what a cut is looked at for. */
const CUT_QUALITY = 90;
/**
 * How the large picture is made smaller while it takes too many bytes: first by quality, then by size; and how many bytes
 * each step takes of the first, which is guessed at so that few are tried (from photos of all sorts, a tenth more or less).
 */
const STEPS = [
  { quality: LARGE_QUALITY, scale: 1, share: 1 },
  { quality: 62, scale: 1, share: 0.7 },
  { quality: 62, scale: 0.75, share: 0.44 },
  { quality: 55, scale: 0.5, share: 0.2 },
] as const;

/** All pictures that are wanted of one photo. The photo is decoded whole only where cuts of it are. */
export async function picturesOf(
  bytes: Uint8Array,
  { file, cuts, gains }: PhotoOrder,
  sizes: PictureSizes,
): Promise<PhotoPictures> {
  const small = await shrinkPhoto(file, bytes, sizes.largePx);
  const upright = turnUpright(small.rgb, small.orientation);
  const profile = profileOf(small);
  const thumb = await encode(upright, { edgePx: sizes.thumbPx, quality: THUMB_QUALITY, profile });
  const large = await encodeWithin(upright, sizes.largeBytes, profile);
  const cut = cuts.length === 0 ? [] : await cutsOf(file, bytes, cuts, sizes.cutPx, profile);
  if (gains) level(upright, gains);
  return {
    thumb,
    large,
    cuts: cut,
    ...(gains && { levelled: await encodeWithin(upright, sizes.largeBytes, profile) }),
  };
}

/** Longer profiles than this are made for printers, bytes. */
const MOST_PROFILE_BYTES = 4096;

/** A profile that says how to show the three channels. @see ICC.1:2010, 7.2.6 */
function profileOf({ profile }: SmallPhoto): Uint8Array | undefined {
  if (profile === undefined || profile.length > MOST_PROFILE_BYTES) return undefined;
  return Buffer.from(profile.subarray(16, 20)).toString("latin1") === "RGB " ? profile : undefined;
}

async function encodeWithin(image: RgbImage, bytes: number, profile?: Uint8Array): Promise<Picture> {
  const longEdge = Math.max(image.width, image.height);
  let firstBytes = 0;
  let picture: Picture | undefined;
  for (const [k, { quality, scale, share }] of STEPS.entries()) {
    if (k < STEPS.length - 1 && firstBytes * share > bytes) continue;
    picture = await encode(image, { edgePx: Math.round(longEdge * scale), quality, profile });
    const taken = picture.base64.length * 0.75;
    if (k === 0) firstBytes = taken;
    if (taken <= bytes) break;
  }
  return picture!;
}

async function encode(
  { width, height, data }: RgbImage,
  { edgePx, quality, profile }: { edgePx: number; quality: number; profile: Uint8Array | undefined },
): Promise<Picture> {
  const { data: jpeg, info } = await loadSharp()(data, { raw: { width, height, channels: 3 } })
    .resize({ width: edgePx, height: edgePx, fit: "inside", withoutEnlargement: true })
    .jpeg({ quality })
    .toBuffer({ resolveWithObject: true });
  const whole = profile === undefined ? jpeg : cleanJpeg(jpeg, undefined, profile);
  return { widthPx: info.width, heightPx: info.height, base64: Buffer.from(whole).toString("base64") };
}

async function cutsOf(
  file: string,
  bytes: Uint8Array,
  cuts: readonly Cut[],
  sidePx: number,
  profile: Uint8Array | undefined,
): Promise<Picture[]> {
  const opened = await openPhoto(file, bytes);
  if (opened === undefined) return [];
  const { rgb, orientation } = opened;
  const [wide, high] = uprightSize(rgb.width, rgb.height, orientation);
  const [width, height] = [Math.min(sidePx, wide), Math.min(sidePx, high)];
  return Promise.all(
    cuts.map(({ x, y }) => {
      const left = within(Math.round(x * wide - width / 2), wide - width);
      const top = within(Math.round(y * high - height / 2), high - height);
      const piece = cropUpright(rgb, orientation, { left, top, width, height });
      return encode(piece, { edgePx: sidePx, quality: CUT_QUALITY, profile });
    }),
  );
}

function within(value: number, most: number): number {
  return Math.min(most, Math.max(0, value));
}
