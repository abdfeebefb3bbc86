/** 8-bit luma, row-major: pixel (x, y) is data[y * width + x]. */
export interface GreyImage {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

/** 8-bit sRGB-coded colour, row-major, interleaved: red of (x, y) is data[3 * (y * width + x)]. */
export interface RgbImage {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}
