export type BandName = "below" | "low" | "middle" | "high" | "overhead";

/** Where a photo was taken, seen from the subject. */
export interface AroundCamera {
  readonly file: string;
  /** 0 at the part's first photo that is not overhead, growing clockwise seen from above, [0, 360). */
  readonly azimuthDeg: number;
  /** 0 level with the subject, 90 straight above. */
  readonly elevationDeg: number;
  /** Standard error of the azimuth; 0 at the photo that it is counted from. */
  readonly uncertaintyDeg: number;
}

/** From one photo to the next at one height, clockwise seen from above. */
export interface AroundStep {
  readonly fromPhoto: string;
  readonly toPhoto: string;
  /** Difference in azimuth, [0, 360]. */
  readonly widthDeg: number;
  /** The same on the sphere: twice the angle from the emptiest direction on the way to the photo nearest to it, [0, 360]. */
  readonly angleDeg: number;
  /** Standard error of the angle. */
  readonly uncertaintyDeg: number;
  /**
   * How far above or below this way photos stand that lead across it in steps of up to 30 degrees: the nearest that do;
   * absent where none do.
   */
  readonly bridgedWithinDeg?: number;
}

/** Photos taken from about one height. */
export interface AroundBand {
  readonly name: BandName;
  /** In the order of their azimuth. */
  readonly photos: readonly string[];
  /** How much of the way round lies in steps narrow enough to match (30 degrees on the sphere), [0, 360]. */
  readonly spanDeg: number;
  /** The ring closes: a loop of links between its photos goes once round. Never overhead, where that turns little. */
  readonly closed: boolean;
  /** Every step of the way round; without the widest where less than 360 degrees is wanted. */
  readonly steps: readonly AroundStep[];
}

/** The nearest two photos of two bands that follow one another. */
export interface AroundBandGap {
  readonly lower: BandName;
  readonly upper: BandName;
  readonly fromPhoto: string;
  readonly toPhoto: string;
  readonly angleDeg: number;
}

/** In how many photos each direction of the subject's surface is seen. */
export interface ViewsPerDirection {
  /** A surface counts as seen from within this angle of its normal. */
  readonly withinDeg: number;
  /** Rows of `counts`: degrees above level. */
  readonly elevationsDeg: readonly number[];
  /** Columns of `counts`: degrees of azimuth. */
  readonly azimuthsDeg: readonly number[];
  readonly counts: readonly (readonly number[])[];
}

/** A second round of a subject that was laid down or turned over. Its directions are counted on the subject itself. */
export interface AroundLaidOver {
  /** In capture order. */
  readonly photos: readonly string[];
  /** How far the subject was tilted between the rounds: about 90 laid down, about 180 turned over. */
  readonly tiltDeg: number;
}

/** A connected component of the photos. Between two parts no angle is known. */
export interface AroundPart {
  /** In capture order. */
  readonly photos: readonly string[];
  /** 0 (guesswork) to 1 (every link agrees, the lens is known); 0 where no photo could be placed. */
  readonly confidence: number;
  /** Those that could be placed, in capture order; none in a part of fewer than three photos. */
  readonly cameras: readonly AroundCamera[];
  /** A loop of links between photos of any height goes once round the subject. */
  readonly closed: boolean;
  /** The photos taken after the subject was laid down or turned over; absent where it was not. */
  readonly laidOver?: AroundLaidOver;
  readonly bands: readonly AroundBand[];
  readonly bandGaps: readonly AroundBandGap[];
  readonly viewsPerDirection: ViewsPerDirection;
}

/**
 * Why a photo has no direction: it shares too little with others; where it would stand contradicts what it shares with most of
 * them; sides of the subject look alike, so that no photo tells which one it shows; or the photos it hangs together with do
 * not look at one subject.
 */
export type UnplacedReason = "shares too little" | "contradicted" | "sides look alike" | "no common subject";

/** A photo without a direction. */
export interface UnplacedPhoto {
  readonly file: string;
  readonly reason: UnplacedReason;
  /** The placed photo that it shares most with, or that was taken nearest to it: photos between the two would join it. */
  readonly joinTo?: string;
}

/** "measured": none was stored, or the photos contradicted it, and they gave a better one. */
export type FocalSource = "exif" | "assumed" | "mixed" | "measured";

/** How people hold a phone alone, or that put right by the level surface that the subject stands on. */
export type UpSource = "photo rolls" | "level surface";

/** Where the camera stood around the subject. */
export interface AroundFacts {
  /** How much of the way round is wanted, degrees in (0, 360]. */
  readonly wantedSpanDeg: number;
  /** Largest first. */
  readonly parts: readonly AroundPart[];
  readonly focalSource: FocalSource;
  /** Focal lengths used over those stored (or assumed); 1 unless measured. */
  readonly focalFactor: number;
  /** What says where up is, in the largest part with placed photos. */
  readonly upSource: UpSource | "none";
  /** In capture order; absent where all are placed. */
  readonly unplaced?: readonly UnplacedPhoto[];
  /** Whether the subject was turned before a camera at rest; absent where that was not asked. */
  readonly turnedSubject?: boolean;
}
