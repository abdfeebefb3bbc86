/** Every type that crosses a folder. Folders below measure/ keep their private types beside the code. */

// ---------------------------------------------------------------- pixels

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

// ---------------------------------------------------------------- numbers with units

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

// ---------------------------------------------------------------- gather

/** What a file is; AVIF counts as heic, "foreign" is a photo of a kind that is not read, "other" is no photo. */
export type FileKind = "jpeg" | "png" | "webp" | "tiff" | "heic" | "raw" | "foreign" | "other";

/** A photo that holds nothing that is read here: a raw file without a preview picture inside. */
export interface UnsupportedFile {
  readonly file: string;
  readonly kind: "raw";
}

/** What lies in the folder and was not judged, though it has to do with the photos. */
export interface LeftAlone {
  /** Raw files beside a JPEG or HEIC of the same name: one shot, judged by that. */
  readonly rawBeside: readonly string[];
  /** Videos of the same name as a photo. */
  readonly liveVideos: number;
  /** Edits and captions stored beside photos. */
  readonly sidecars: number;
  /** Photos in folders inside, which were not entered, and how many folders hold them. */
  readonly photosInside: number;
  readonly foldersInside: number;
  /** Folders inside that should have been entered and could not be. */
  readonly closedFolders: readonly string[];
}

/** A raw photo is judged by the JPEG that the camera stored inside it. */
export interface RawPreview {
  /** Whether the file reaches to the end of all that it declares; else it was cut short behind the preview. */
  readonly whole: boolean;
}

/** Why a file cannot be read, for people. */
export interface Unreadable {
  /** What is wrong, one clause: "the file is empty". */
  readonly reason: string;
  /** What to do, an instruction that goes on behind a colon: "save a JPEG copy"; absent where nobody can say. */
  readonly wayOut?: string;
}

/** A file of a supported kind that cannot be read. */
export interface UnreadableFile extends Unreadable {
  readonly file: string;
}

/**
 * What a photo's EXIF says. An absent field is a tag that is absent, malformed or out of range: never zero.
 * No coordinates, serial numbers or owner names are kept.
 */
export interface Exif {
  readonly make?: string;
  readonly model?: string;
  readonly lens?: string;
  /** Seconds, > 0. */
  readonly exposureTimeS?: number;
  /** > 0. */
  readonly fNumber?: number;
  /** ISO sensitivity, > 0. */
  readonly iso?: number;
  /** Exposure value at ISO 100, in stops: log2(N^2 / t) - log2(ISO / 100). */
  readonly ev100?: number;
  readonly focalLengthMm?: number;
  /** Focal length that has the same diagonal angle of view on a 36 x 24 mm frame, mm. */
  readonly focalLength35Mm?: number;
  /** Distance the lens was focused at, m, > 0; absent where unknown or beyond 1000 m. */
  readonly subjectDistanceM?: number;
  /** Digital zoom factor, >= 1; absent where unused. */
  readonly digitalZoom?: number;
  readonly flashFired?: boolean;
  readonly exposureMode?: "auto" | "manual" | "bracket";
  readonly whiteBalance?: "auto" | "manual";
  /** EXIF orientation 1 to 8; absent where not stored (treated as 1). */
  readonly orientation?: number;
  /** Local capture time, ISO 8601, with subseconds and offset where stored: 2026-05-01T14:03:22.45+02:00. */
  readonly capturedAt?: string;
  readonly hasLocation: boolean;
}

// ---------------------------------------------------------------- measure: one photo

/** Measures of one photo that are always there once it is decoded. */
export interface PixelMeasures {
  /** Variance of the 4-neighbour Laplacian of the full-size 8-bit luma. Higher is sharper (or busier). */
  readonly laplacianVariance: Measure;
  /** Fine (sigma < 1) over mid (sigma 1 to 3) band energy at a long edge of 1920 px, noise removed; absent for a blank picture. */
  readonly bandRatio?: Measure;
  /** bandRatio of the sharpest twentieth of the tiles that show structure; absent for a blank picture. */
  readonly sharpestBandRatio?: Measure;
  /** Share of pixels with any channel at the top. */
  readonly clippedAnyRatio: Measure;
  /** Share of pixels with all three channels at the top. */
  readonly clippedAllRatio: Measure;
  /** Share of pixels with two channels or three at the top, in the middle half of rows and columns. */
  readonly clippedCentreRatio: Measure;
  /** Share of pixels with all three channels at the bottom. */
  readonly blockedRatio: Measure;
  /** log2 of the mean linear luminance (1 = white): 0 at most. */
  readonly meanLuminanceStops: Measure;
  /** Grey-world chroma: log2 of mean linear red over green, and blue over green. */
  readonly redGreenStops: Measure;
  readonly blueGreenStops: Measure;
  /** Noise standard deviation in the quietest tenth of the tiles (Immerkaer 1996); absent where all are clipped. */
  readonly noiseSigma?: Measure;
  /** Keypoints found in the working picture. */
  readonly keypoints: Measure;
}

/** What the pairs say of a photo; solved values are absent where the photo links to nothing. */
export interface SolvedMeasures {
  /** Brightness of the shared surface against the set's median, linear light. Positive is brighter. */
  readonly exposureOffsetStops?: Measure;
  readonly redOffsetStops?: Measure;
  readonly blueOffsetStops?: Measure;
  /** log2 band ratio of the shared surface against the median of the photos that hang together. Negative is softer. */
  readonly sharpnessOffsetStops?: Measure;
  /** log2 fine band energy of the shared surface, exposure taken out. Negative is softer: shake shows here first. */
  readonly detailOffsetStops?: Measure;
  /** Photos this one was compared with, and how many of them show some of the same surface. */
  readonly comparedPhotos: Measure;
  readonly linkedPhotos: Measure;
}

/**
 * The measures of a photo for its subject alone. Confidence says how sure it is which pixels those are; what needs the
 * subject's shape or other photos is absent where the geometry failed.
 */
export interface SubjectMeasures {
  /** 0 (taken to be the middle of the frame) to 1 (matches decide all of its edge). */
  readonly confidence: Measure;
  /** Share of the frame that it covers. */
  readonly areaRatio: Measure;
  /** Longest side of the box around it over the frame's short side. */
  readonly sideRatio: Measure;
  /** Share of its outline beyond the frame's edge. */
  readonly cutRatio?: Measure;
  /** log2 of how large one and the same thing at its place comes out, against the middle photo of those it hangs together with. */
  readonly scaleOffsetStops?: Measure;
  /** Mean of the tiles that lie on it; absent where it fills none. */
  readonly laplacianVariance?: Measure;
  /** Fine over mid band energy of its cells, and of the sharper ones around it; absent where they hold no structure. */
  readonly bandRatio?: Measure;
  readonly backgroundBandRatio?: Measure;
  /** Share of its pixels with two channels or three at the top, and with all at the bottom. */
  readonly clippedRatio?: Measure;
  readonly blockedRatio?: Measure;
  /** log2 of its mean linear luminance (1 = white). */
  readonly meanLuminanceStops?: Measure;
  /** Median contrast of its texture in linear light: standard deviation over level. */
  readonly textureRatio?: Measure;
  /** Noise of its quietest tile, texture included. */
  readonly noiseSigma?: Measure;
  readonly keypoints: Measure;
  /** Share of it that has no keypoint near. */
  readonly bareRatio?: Measure;
  /** As in SolvedMeasures, from the matches on the subject. */
  readonly detailOffsetStops?: Measure;
}

export interface SubjectFacts {
  /** How its pixels were found: from the matches' geometry, or taken to be the middle of the frame. */
  readonly source: "geometry" | "centre";
  readonly measures: SubjectMeasures;
}

export type PhotoMeasures = PixelMeasures & SolvedMeasures;
export type MeasureName = keyof PhotoMeasures;

/** Measures on a grid of tiles in the upright frame, row-major, rounded for the report. */
export interface TileMeasures {
  readonly columns: number;
  readonly rows: number;
  readonly laplacianVariance: readonly number[];
  /** A tile without structure is null, not zero. */
  readonly bandRatio: readonly (number | null)[];
  readonly clippedAnyRatio: readonly number[];
  /** Noise standard deviation, grey levels; texture reads as noise. */
  readonly noiseSigma: readonly number[];
}

/** One decoded photo, measured on its own. Sizes are of the upright picture. */
export interface MeasuredPhoto {
  readonly file: string;
  readonly widthPx: number;
  readonly heightPx: number;
  /** SHA-256 of the file's bytes, hex. */
  readonly contentHash: string;
  readonly exif: Exif;
  /** There for raw photos: measures and sizes are those of the preview inside. */
  readonly rawPreview?: RawPreview;
  readonly measures: PixelMeasures;
  readonly tiles: TileMeasures;
}

/** The same with what the pairs say of it. */
export interface PhotoFacts extends MeasuredPhoto {
  readonly measures: PhotoMeasures;
  readonly subject?: SubjectFacts;
}

/**
 * Keypoints of one photo, strongest first, as a structure of arrays over shared memory: posting one to a
 * thread copies nothing. Positions are in pixels of the upright working picture, whose size stands beside.
 */
export interface Features {
  readonly count: number;
  /** Size of the upright working picture that x and y refer to, px. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Gaussian scale of each keypoint, px of the working picture. */
  readonly scale: Float32Array;
  /** Dominant gradient direction, radians in (-pi, pi], y down. */
  readonly angle: Float32Array;
  /** 256 bits each: eight 32-bit words, keypoint i at words 8 i to 8 i + 7. */
  readonly descriptors: Uint32Array;
  /** Surface around each keypoint, PATCH_FIELDS numbers each; see measure/photo/patches.ts. */
  readonly patches: Float32Array;
}

/**
 * One photo in coarse cells of the upright frame, row-major, kept in memory for what is measured once the subject is
 * known. Codes of 8 bits, a few dozen KB a photo, over shared memory; measure/photo/cells.ts says what they stand for.
 */
export interface Cells {
  readonly columns: number;
  readonly rows: number;
  /** Mean linear light; codes of LIGHT_OF_CODE. */
  readonly red: Uint8Array;
  readonly green: Uint8Array;
  readonly blue: Uint8Array;
  /** Linear luminance of the brightest spot of 4 x 4 px at 1920; codes of LIGHT_OF_CODE. */
  readonly brightest: Uint8Array;
  /** Share of pixels that are clipped or blocked, in 255ths. */
  readonly saturated: Uint8Array;
  /** Fine (sigma < 1) and mid (sigma 1 to 3) band energy at 1920, noise removed; codes of ENERGY_OF_CODE. */
  readonly fine: Uint8Array;
  readonly mid: Uint8Array;
}

// ---------------------------------------------------------------- measure: two photos

/** Red and blue against green on the matched surface, b over a, log2. */
export interface ColourDrift {
  readonly redStops: number;
  readonly blueStops: number;
}

/** What two photos have in common. a comes before b in capture order; drifts read "b over a". */
export interface PairFacts {
  readonly a: string;
  readonly b: string;
  /** Mutual, ratio-tested matches that two-view geometry confirms. */
  readonly verifiedMatches: number;
  /** verifiedMatches over the mutual, ratio-tested ones, 0 to 1. */
  readonly verifiedRatio: number;
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
}

// ---------------------------------------------------------------- measure: around the subject

export type BandName = "low" | "middle" | "high" | "overhead";

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
  /** The same on the sphere: how far the viewing direction turns, [0, 180]. */
  readonly angleDeg: number;
}

/** Photos taken from about one height. */
export interface AroundBand {
  readonly name: BandName;
  /** In the order of their azimuth. */
  readonly photos: readonly string[];
  /** How much of the way round they cover: 360 less the widest step. 360 overhead, where azimuth means little. */
  readonly spanDeg: number;
  /** The ring closes: no step of the whole way round is too wide for matching. */
  readonly closed: boolean;
  /** Every step of the way round; without the widest where less than 360 degrees is wanted. None overhead. */
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

/** Photos that hang together. Between two parts there is no known angle. */
export interface AroundPart {
  /** In capture order. */
  readonly photos: readonly string[];
  /** 0 (guesswork) to 1 (every link agrees, the lens is known); 0 where no photo could be placed. */
  readonly confidence: number;
  /** Those that could be placed, in capture order; none in a part of fewer than three photos. */
  readonly cameras: readonly AroundCamera[];
  readonly bands: readonly AroundBand[];
  readonly bandGaps: readonly AroundBandGap[];
  readonly viewsPerDirection: ViewsPerDirection;
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
  /** Whether the subject was turned before a camera at rest; absent where that was not asked. */
  readonly turnedSubject?: boolean;
}

// ---------------------------------------------------------------- measure: light on the subject

/** Where it is known from how bright a photo is by its exposure alone: EXIF, or the surface shared with other photos. */
export type ExposureSource = "exif" | "matched surface";

/** The subject's light as one photo shows it. What could not be measured is absent. */
export interface LightPhoto {
  readonly file: string;
  /** log2 of the subject's median linear luminance, exposure taken out, stops: to be compared within the set. */
  readonly subjectStops?: number;
  /** Share of the subject's surface that is brighter here than in most other photos: highlights that move, 0 to 1. */
  readonly highlightRatio?: number;
  /** The same for darker: shadows that move. */
  readonly shadowRatio?: number;
  /** Share of the subject's surface that the two ratios were measured on, 0 to 1. */
  readonly followedRatio?: number;
  /** Diameter of the Airy disk for green light, px of the photo. */
  readonly airyDiameterPx?: number;
  /** Depth of the subject that the photo shows, half its width, at the distance that EXIF stores. */
  readonly subjectDepthMm?: number;
  /** Depth that is sharp at that distance; absent where it has no end. */
  readonly depthOfFieldMm?: number;
}

/** How the subject's brightness goes with the direction it is seen from, in the largest part that hangs together. */
export interface LightSwing {
  /** Highest less lowest bin, stops. */
  readonly swingStops: number;
  /** What one bright and one dark side explain of it: twice the first harmonic around the subject, at most all. */
  readonly oneSidedStops: number;
  /** The same of two opposite bright sides: the second harmonic. */
  readonly twoSidedStops: number;
  /** Direction from which the subject looks darkest, an azimuth of the part's cameras. */
  readonly darkSideDeg: number;
  /** Photos that see the dark side. */
  readonly darkPhotos: readonly string[];
  /** Median brightness of each 30 degrees of azimuth from 0 on, stops; null where no photo was taken. */
  readonly binStops: readonly (number | null)[];
}

/** The largest step in time of the light on the shared surface, exposure taken out by EXIF. */
export interface LightStep {
  /** The last photo before it and the first after it, in capture order. */
  readonly before: string;
  readonly after: string;
  /** After less before. */
  readonly stops: number;
  /** Red and blue against green; absent where the camera may have chosen its own white balance. */
  readonly redStops?: number;
  readonly blueStops?: number;
}

/** The light on the subject, and the optics it passed. */
export interface LightFacts {
  /** One a photo, in capture order. */
  readonly photos: readonly LightPhoto[];
  readonly exposureSource: ExposureSource;
  /** Absent where the subject was turned, or too few directions or exposures are known. */
  readonly swing?: LightSwing;
  /** Absent where EXIF does not tell the exposure of enough photos. */
  readonly step?: LightStep;
}

// ---------------------------------------------------------------- facts: all that is judged

export type CaptureOrder = "capture time" | "file name";

/** All that was gathered and measured. Judging the same facts again gives the same findings. */
export interface Facts {
  /** The folder's own name, no path. */
  readonly folder: string;
  readonly orderedBy: CaptureOrder;
  /** In capture order. */
  readonly photos: readonly PhotoFacts[];
  readonly pairs: readonly PairFacts[];
  readonly around: AroundFacts;
  /** Absent where the subject was not looked for. */
  readonly light?: LightFacts;
  readonly unreadable: readonly UnreadableFile[];
  readonly unsupported: readonly UnsupportedFile[];
  /** Files that are no photos (notes, videos): counted, not judged. System and hidden files are not counted. */
  readonly otherFiles: number;
  readonly leftAlone?: LeftAlone;
  /** Most photos the upload takes, where the user said so. */
  readonly atMostPhotos?: number;
}

// ---------------------------------------------------------------- judge

export type Severity = "reshoot" | "leave-out" | "edit" | "note";
export type About = "photo" | "between" | "set";
/** A photo's verdict: the worst severity of the findings about photos that name it. */
export type PhotoVerdict = "pass" | "edit" | "leave-out" | "reshoot";
export type SetVerdict = "pass" | "reshoot";

export interface Finding {
  readonly check: string;
  readonly about: About;
  readonly severity: Severity;
  /** File names; may be empty. For "between": the two photos, in capture order. */
  readonly photos: readonly string[];
  readonly measured?: Measure;
  readonly limit?: Limit;
  /** One sentence: what is wrong. */
  readonly message: string;
  /** One sentence: what to do. */
  readonly advice: string;
  /** Photos to take for this finding beyond those it names, where that is known. */
  readonly toAdd?: number;
}

/** A check that could not judge some photos (or, with an empty list, the set), and why. */
export interface Skipped {
  readonly check: string;
  readonly photos: readonly string[];
  readonly reason: string;
}

/** limits[check id][limit name]. */
export type Limits = Readonly<Record<string, Readonly<Record<string, Limit>>>>;

/** What the limits make of Facts.around. */
export interface JudgedAround {
  /** Parts whose cameras are placed surely enough to speak of, largest first. */
  readonly placed: readonly AroundPart[];
  /** Of the steps of all parts, those too wide to match. */
  readonly gaps: ReadonlySet<AroundStep>;
}

export interface Judgement {
  readonly verdict: SetVerdict;
  /** One a photo of Facts.photos, then one a file of Facts.unreadable ("reshoot"). */
  readonly photoVerdicts: ReadonlyMap<string, PhotoVerdict>;
  readonly findings: readonly Finding[];
  readonly skipped: readonly Skipped[];
  readonly around: JudgedAround;
  readonly limits: Limits;
  /** Findings of severity "edit" failed the set, too. */
  readonly strict?: true;
  /** The set is to be taken anew: what is good in it is of no use by itself. */
  readonly anew?: true;
}

// ---------------------------------------------------------------- report

export interface Counts {
  readonly photos: number;
  readonly pass: number;
  readonly edit: number;
  readonly leaveOut: number;
  readonly reshoot: number;
  readonly toAdd: number;
}

/** What the renderers get. */
export interface Report {
  readonly tool: { readonly name: string; readonly version: string };
  readonly facts: Facts;
  readonly judgement: Judgement;
  readonly counts: Counts;
}
