export type Unit =
  | "ratio" // a share, 0 to 1
  | "stops" // log2 of a ratio of linear light, energy or size; the docstring says which
  | "grey levels" // 8-bit code values, 0 to 255
  | "grey levels squared"
  | "px" // pixels of the full-size picture
  | "px at 1920" // pixels of the picture brought to a long edge of 1920 px
  | "megapixels"
  | "degrees"
  | "photos"
  | "matches"
  | "keypoints"
  | "times"; // a factor

/** No number without its unit. */
export interface Measure {
  readonly value: number;
  readonly unit: Unit;
}

/** No threshold without its reason: `source` is a publication or the script that shows the spread. */
export interface Limit extends Measure {
  readonly source: string;
}

/** Least and most that a limit may be set to, in its own unit. */
export type LimitRange = readonly [least: number, most: number];

/** A limit as a check declares it. */
export interface DeclaredLimit extends Limit {
  readonly range: LimitRange;
}
