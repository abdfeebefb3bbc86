import type { Material, PropName } from "./props/index.js";

/** One walk around the prop at one height. */
export interface RingOptions {
  /** Height of the camera as an angle above the table, seen from the middle of the prop, -5 to 85 degrees. */
  readonly elevationDeg: number;
  readonly photos: number;
  /** Direction of the first photo around the prop, clockwise seen from above, degrees. */
  readonly startDeg: number;
  /** How far the walk goes, clockwise; negative walks the other way. 360 closes the ring. */
  readonly spanDeg: number;
  /** Camera to middle of the prop, metres; absent: as far as `fillRatio` asks. */
  readonly distanceM?: number;
}

/** Standard deviations of what a hand does. */
export interface JitterOptions {
  /** Aim left or right, and up or down, degrees. */
  readonly aimDeg: number;
  readonly rollDeg: number;
  /** Height angle, degrees. */
  readonly elevationDeg: number;
  /** Step along the ring, degrees. */
  readonly azimuthDeg: number;
  /** Share of the distance. */
  readonly distanceRatio: number;
  /** Wander of the exposure that EXIF knows of (a phone left on automatic), stops. */
  readonly exposureStops: number;
  /** Unevenness of focus and hand in good photos: blur sigma, px at 1920 (half-normal). */
  readonly softnessPx: number;
}

/** Where the light comes from. */
export type LampSetup = "three" | "two opposite" | "one" | "overcast";

/**
 * A fault, made physically. Lengths are pixels of the picture brought to a long edge of 1920 px. `stray`, `twin` and
 * `retake` put one more photo into the set; all others change the photo they name.
 */
export type Fault =
  /** Out of focus: standard deviation of the spread along each axis. */
  | { readonly kind: "defocus"; readonly sigmaPx: number; readonly shape?: "gaussian" | "disc" }
  /** Moved during exposure: 0 degrees is along x, clockwise in the upright picture. */
  | { readonly kind: "motion"; readonly lengthPx: number; readonly directionDeg: number }
  /** Exposure step; `said`: exposure time in EXIF is in step with it. Strong ones blow or block the subject. */
  | { readonly kind: "exposure"; readonly stops: number; readonly said: boolean }
  /** Gains of red and blue against green. */
  | { readonly kind: "colour-cast"; readonly redStops: number; readonly blueStops: number }
  /** Noise of this sensitivity, said by EXIF; the exposure time is shortened to match. */
  | { readonly kind: "noise"; readonly iso: number }
  /** Longer focal length; digital zoom is said by its own tag, optical zoom by the focal length. */
  | { readonly kind: "zoom"; readonly factor: number; readonly digital: boolean }
  /**
   * A lens of wide aperture focused on one plane: blur grows with the difference of 1 / distance, as in a thin lens.
   * `background`: focused behind the prop, and sigma is that at the prop's middle; `subject`: focused on the prop's
   * middle, and sigma is that at the middle distance of what lies behind it.
   */
  | { readonly kind: "focus-plane"; readonly plane: "background" | "subject"; readonly sigmaPx: number }
  /** Aimed past the prop: this share of its outline's area lies beyond the frame's edge; 0 is the right edge, 90 the lower. */
  | { readonly kind: "cut"; readonly areaRatio: number; readonly directionDeg: 0 | 90 | 180 | 270 }
  /** From too far away: longest side of the outline's box as a share of the frame's short side. */
  | { readonly kind: "small"; readonly sideRatio: number }
  /** Coordinates stored in the file: invented, on the open sea. */
  | { readonly kind: "location" }
  /** A photo of another prop in another place, after the photo named. */
  | { readonly kind: "stray"; readonly subject: PropName }
  /** The same view again, right after the photo named: only the noise is new. */
  | { readonly kind: "twin" }
  /** A good photo from nearly the same place, at the end of the set. */
  | { readonly kind: "retake" };

/** A fault and the photo it befalls, counted along the walk from 0 (skipped photos do not count). */
export interface PlacedFault {
  readonly photo: number;
  readonly fault: Fault;
}

/** Photos of ring `ring` between these directions (clockwise) are not taken. */
export interface SkippedArc {
  readonly ring: number;
  readonly fromDeg: number;
  readonly toDeg: number;
}

/**
 * What stands around the prop. `store`: the prop store, shelves on four walls. `wall`: one flat textured wall close
 * behind the prop, for arcs in front of it. `plain`: even grey cloth and walls without texture.
 */
export type Background = "store" | "wall" | "plain";

/** A tall window behind the prop, with the day outside far brighter than the room. It lights nothing. */
export interface WindowOptions {
  /** Direction from the prop, clockwise seen from above, degrees. */
  readonly azimuthDeg: number;
  /** How far its panes lie over white, stops. */
  readonly stops: number;
}

/** All that decides what a set looks like; the same options give the same bytes. */
export interface SetOptions {
  readonly seed: number;
  /** Size of the sensor's picture, landscape. */
  readonly widthPx: number;
  readonly heightPx: number;
  /** 35 mm equivalent by diagonal, mm. */
  readonly focalLength35Mm: number;
  readonly subject: PropName;
  readonly material: Material;
  /** Times the prop's own size. */
  readonly subjectSize: number;
  readonly background: Background;
  readonly lamps: LampSetup;
  /** How far the brighter lamp of a two-sided set-up outshines the other, stops. */
  readonly lampRatioStops: number;
  /** Turns all lamps around the prop, clockwise seen from above, degrees; absent: 0. */
  readonly lampAzimuthDeg?: number;
  /** Brightens or dims the room's own light beside the lamps, stops; absent: 0. */
  readonly ambientStops?: number;
  /** Mirror reflectance of the prop at right angles where its material is glossy; absent: the material's own. */
  readonly gloss?: number;
  readonly window?: WindowOptions;
  readonly rings: readonly RingOptions[];
  /** Diameter of the ball that holds the prop, as a share of the picture's short side. */
  readonly fillRatio: number;
  readonly skippedArcs: readonly SkippedArc[];
  readonly jitter: JitterOptions;
  /** `around`: the phone walks. `turned`: the phone stands still and the prop is turned before it. */
  readonly walk: "around" | "turned";
  /** Share of photos taken with the phone upright, 0 to 1. */
  readonly portraitShare: number;
  readonly naming: "in order" | "shuffled";
  readonly exif: "full" | "none";
  readonly exposureMode: "auto" | "manual";
  readonly whiteBalance: "auto" | "manual";
  readonly iso: number;
  readonly exposureTimeS: number;
  /** JPEG quality, 1 to 100. */
  readonly quality: number;
  readonly faults: readonly PlacedFault[];
}

/** How a steady hand wavers: a few degrees of aim, two of roll. Our choice. */
export const handHeld: JitterOptions = {
  aimDeg: 2,
  rollDeg: 2,
  elevationDeg: 1.5,
  azimuthDeg: 1.2,
  distanceRatio: 0.04,
  exposureStops: 0,
  softnessPx: 0.25,
};

/** A good set: the jug from two heights, 24 photos each, nothing wrong. */
export const cleanDemo: SetOptions = {
  seed: 1,
  widthPx: 1600,
  heightPx: 1200,
  focalLength35Mm: 28,
  subject: "jug",
  material: "matt",
  subjectSize: 1,
  background: "store",
  lamps: "three",
  lampRatioStops: 0.5,
  rings: [
    { elevationDeg: 10, photos: 24, startDeg: 0, spanDeg: 360 },
    { elevationDeg: 30, photos: 24, startDeg: 0, spanDeg: 360 },
  ],
  fillRatio: 0.62,
  skippedArcs: [],
  jitter: handHeld,
  walk: "around",
  portraitShare: 0.1,
  naming: "in order",
  exif: "full",
  exposureMode: "manual",
  whiteBalance: "manual",
  iso: 125,
  exposureTimeS: 1 / 60,
  quality: 92,
  faults: [],
};

/** The set of `goodgate demo`: the clean one with a handful of faults, and two places left out. */
export const defaultDemo: SetOptions = {
  ...cleanDemo,
  seed: 7,
  rings: [
    { elevationDeg: 10, photos: 24, startDeg: 0, spanDeg: 360 },
    { elevationDeg: 38, photos: 24, startDeg: 0, spanDeg: 360 },
  ],
  // Two places of the upper ring, at 105 and 120 degrees.
  skippedArcs: [{ ring: 1, fromDeg: 100, toDeg: 125 }],
  faults: [
    { photo: 5, fault: { kind: "defocus", sigmaPx: 3 } },
    { photo: 9, fault: { kind: "exposure", stops: 1, said: false } },
    { photo: 13, fault: { kind: "motion", lengthPx: 14, directionDeg: 25 } },
    { photo: 17, fault: { kind: "twin" } },
    { photo: 20, fault: { kind: "exposure", stops: -0.8, said: false } },
    { photo: 25, fault: { kind: "exposure", stops: 3, said: true } },
    { photo: 29, fault: { kind: "colour-cast", redStops: 0.45, blueStops: -0.45 } },
    { photo: 32, fault: { kind: "stray", subject: "lamp" } },
    { photo: 35, fault: { kind: "defocus", sigmaPx: 2.5 } },
    { photo: 35, fault: { kind: "retake" } },
    { photo: 40, fault: { kind: "zoom", factor: 1.8, digital: true } },
    { photo: 43, fault: { kind: "location" } },
  ],
};
