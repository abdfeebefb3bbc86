/** A picture for the page: a JPEG that holds nothing but the picture and its colour profile. */
export interface Picture {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly base64: string;
}

/** What the page shows of one photo. */
export interface PhotoPictures {
  readonly thumb: Picture;
  readonly large: Picture;
  /** Its light brought to that of the set, where the order asks for it. */
  readonly levelled?: Picture;
  /** One an ordered cut. */
  readonly cuts: readonly Picture[];
}

/** The pictures of a set by file name; a photo that is gone, or is another one now, has none. */
export type Pictures = ReadonlyMap<string, PhotoPictures>;

/** A piece of a photo at its own size. */
export interface Cut {
  /** Its middle in the upright picture, shares of width and height. */
  readonly x: number;
  readonly y: number;
}

/** Factors for each channel in linear light. */
export interface LevelGains {
  readonly red: number;
  readonly green: number;
  readonly blue: number;
}

/** What pictures the page wants of one photo. */
export interface PhotoOrder {
  readonly file: string;
  /** SHA-256 of the photo that was judged: another one under its name is not shown. */
  readonly contentHash: string;
  readonly megapixels: number;
  readonly gains?: LevelGains;
  readonly cuts: readonly Cut[];
}

/** How large pictures may be, for all photos alike. */
export interface PictureSizes {
  readonly thumbPx: number;
  readonly largePx: number;
  /** Most bytes of the large picture of a photo. */
  readonly largeBytes: number;
  /** Side of a cut at the photo's own size. */
  readonly cutPx: number;
}

export interface PicturesOrder {
  readonly sizes: PictureSizes;
  readonly photos: readonly PhotoOrder[];
}
