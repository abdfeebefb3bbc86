import { decodePhoto } from "#goodgate/gather/decode.js";
import { measurePhoto } from "#goodgate/measure/photo/photo.js";
import { dataBytes } from "../support/data.js";

/** One photo, 2268 x 1512 px, in many encodings, all made from the lossless PNG. */
export const ORIGINAL = "flower.png";

export interface Encoding {
  readonly file: string;
  readonly what: string;
  /** "one frame": expected to agree with each other and nearly with the original; else why not. */
  readonly cause: string;
}

const FRAME = "one frame";

export const encodings: readonly Encoding[] = [
  { file: "flower.png.im_q85_420.jpg", what: "4:2:0", cause: FRAME },
  { file: "flower.png.im_q85_422.jpg", what: "4:2:2", cause: FRAME },
  { file: "flower.png.im_q85_440.jpg", what: "4:4:0", cause: FRAME },
  { file: "flower.png.im_q85_444.jpg", what: "4:4:4", cause: FRAME },
  { file: "flower.png.im_q85_420_progr.jpg", what: "4:2:0, progressive", cause: FRAME },
  { file: "flower.png.im_q85_420_R13B.jpg", what: "4:2:0, restart markers", cause: FRAME },
  { file: "flower.png.im_q85_444_1x2.jpg", what: "4:4:4, all sampled 1x2", cause: FRAME },
  {
    file: "flower.png.im_q85_asymmetric.jpg",
    what: "colour differences sampled unlike each other",
    cause: FRAME,
  },
  {
    file: "flower_alpha.png",
    what: "PNG with alpha",
    cause: "alpha is dropped, the colours are the original's",
  },
  {
    file: "flower.png.im_q85_gray.jpg",
    what: "grey",
    cause: "most of what clips is one colour alone, which grey no longer shows; luma keeps its detail",
  },
  {
    file: "flower.png.im_q85_rgb.jpg",
    what: "RGB, no colour transform",
    cause: "red and blue are quantised as coarsely as luma would be, and each adds its own share to luma",
  },
  {
    file: "flower.png.im_q85_rgb_subsample_blue.jpg",
    what: "RGB, blue at half size",
    cause: "blue is a part of luma: its finest detail is gone",
  },
  {
    file: "flower.png.im_q85_luma_subsample.jpg",
    what: "luma at half size",
    cause: "luma itself lost every other pixel: it is softer, and measured so",
  },
];

export interface EncodingMeasures {
  readonly laplacianVariance: number;
  readonly bandRatio: number;
  readonly clippedAny: number;
}

export async function measureEncoding(file: string): Promise<EncodingMeasures> {
  const { measures } = measurePhoto(await decodePhoto(dataBytes("flower", file)), 1);
  return {
    laplacianVariance: measures.laplacianVariance.value,
    bandRatio: measures.bandRatio?.value ?? Number.NaN,
    clippedAny: measures.clippedAnyRatio.value,
  };
}

/** Those that have to agree: encodings of the same frame at full luma size. */
export const oneFrame = encodings.filter(({ cause }) => cause === FRAME);
