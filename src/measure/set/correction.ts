import { LUMINANCE_WEIGHTS } from "../photo/tone.js";

/** How a photo shows the surface it shares with others, against the set's reference, stops. */
export interface Offset {
  readonly exposureStops: number;
  /** Red and blue against green; undefined where too little colour was compared. */
  readonly redStops?: number | undefined;
  readonly blueStops?: number | undefined;
  /** log2 of the photo's mean linear red over green, and blue over green. */
  readonly meanRedGreenStops: number;
  readonly meanBlueGreenStops: number;
}

/** Factors for each channel in linear light that bring a photo to the set's reference. */
export interface Gains {
  readonly red: number;
  readonly green: number;
  readonly blue: number;
}

/**
 * What to multiply each channel's linear light by, so that the shared surface comes out as bright and of the same colour as
 * in the set's reference. Exposure is measured in luminance and colour against green, so green's own part follows from
 * how much red and blue the photo holds. An offset of 0 gives gains of 1.
 */
export function gainsFor(offset: Offset): Gains {
  const { redStops: red = 0, blueStops: blue = 0 } = offset;
  const [wr, wg, wb] = LUMINANCE_WEIGHTS;
  const r = wr * 2 ** (offset.meanRedGreenStops - red);
  const b = wb * 2 ** (offset.meanBlueGreenStops - blue);
  const byColour = Math.log2((r * 2 ** red + wg + b * 2 ** blue) / (r + wg + b));
  const green = offset.exposureStops - byColour;
  return { red: 2 ** -(green + red), green: 2 ** -green, blue: 2 ** -(green + blue) };
}
