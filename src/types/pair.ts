/** Red and blue against green on the matched surface, b over a, log2. */
export interface ColourDrift {
  readonly redStops: number;
  readonly blueStops: number;
}

/** One spot of surface in two photos: x and y in a, then in b, shares of width and height of the upright pictures. */
export type SharedSpot = readonly [xInA: number, yInA: number, xInB: number, yInB: number];

/** What two photos have in common. a comes before b in capture order; drifts read "b over a". */
export interface PairFacts {
  readonly a: string;
  readonly b: string;
  /** Mutual, ratio-tested matches that two-view geometry confirms. */
  readonly verifiedMatches: number;
  /** verifiedMatches over the mutual, ratio-tested ones, 0 to 1. */
  readonly verifiedRatio: number;
  /**
   * Share of the verified matches that one plane, or one turn of the camera on the spot, explains as well, 0 to 1; absent
   * where the pair is not verified. Near 1 the two photos show no depth.
   */
  readonly planeRatio?: number;
  /** Share of a's frame that lands inside b's, 0 to 1; absent where the pair is not verified. */
  readonly overlapRatio?: number;
  /** Share of the occupied grid cells of a that hold a verified match, 0 to 1. */
  readonly supportRatio?: number;
  /** Median distance the verified matches moved, as a share of the long edge. */
  readonly shiftRatio?: number;
  /** log2 of the linear luminance of the matched surface, b over a. */
  readonly exposureDriftStops?: number;
  readonly colourDrift?: ColourDrift;
  /** log2 of the band ratio of the matched surface, b over a. Negative: b is softer. */
  readonly relativeSharpness?: number;
  /** log2 of the fine band energy of the matched surface, b over a, exposure taken out. Negative: b is softer. */
  readonly relativeDetail?: number;
  /** A spot of the subject (of anything where nothing of it is matched) that both show; absent where they are not linked. */
  readonly spot?: SharedSpot;
}
