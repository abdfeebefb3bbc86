import { Matrix, solve } from "../matrix.js";
import { median } from "../statistics.js";

/** Width of a bin of directions around the subject, degrees. */
export const BIN_DEG = 30;
const BINS = 360 / BIN_DEG;

/** Fewest bins with photos, three quarters of the way round: with less, two lamps cannot be told from one. */
const FEWEST_BINS = 9;

const DEGREES = 180 / Math.PI;

/** A photo's direction around the subject and how bright the subject is from there. */
export interface SideLight {
  /** Clockwise seen from above, degrees. */
  readonly azimuthDeg: number;
  /** log2 of the subject's luminance, exposure removed, stops. */
  readonly stops: number;
}

/** How the subject's brightness goes with the direction it is seen from. */
export interface Falloff {
  /** Median of each bin of BIN_DEG degrees, stops; undefined where no photo was taken. */
  readonly bins: readonly (number | undefined)[];
  /** Highest less lowest bin, stops. 0 where the light is even. */
  readonly falloffStops: number;
  /**
   * What one bright and one dark side explain of it: twice the amplitude of the first harmonic, at most the falloff itself,
   * stops. Two opposite lamps leave it small.
   */
  readonly oneSidedStops: number;
  /** The same of two bright sides opposite one another: the second harmonic. */
  readonly twoSidedStops: number;
  /** Direction from which the subject looks darkest by the first harmonic, degrees in [0, 360). */
  readonly darkSideDeg: number;
}

/**
 * Size and shape of the falloff in brightness around the subject: bins of directions for its size, a sum of two harmonics
 * fitted to the bins for its shape. A lamp lights the half of a round subject that faces it by the cosine of the angle,
 * whose Fourier series is nearly all first harmonic, and a broad dark side has no sharp minimum to point at.
 *
 * @returns undefined where fewer than FEWEST_BINS bins hold photos
 */
export function falloffOf(photos: readonly SideLight[]): Falloff | undefined {
  const members: SideLight[][] = Array.from({ length: BINS }, () => []);
  for (const photo of photos) members[binOf(photo.azimuthDeg)].push(photo);
  const bins = members.map((some) =>
    some.length === 0 ? undefined : median(some.map(({ stops }) => stops)),
  );
  const filled = bins.filter((value) => value !== undefined);
  if (filled.length < FEWEST_BINS) return undefined;
  const middles = members.flatMap((some, k) =>
    some.length === 0 ? [] : [{ azimuthDeg: middleOf(some), stops: bins[k]! }],
  );
  const [, cos, sin, cos2, sin2] = fitHarmonics(middles);
  const falloffStops = Math.max(...filled) - Math.min(...filled);
  return {
    bins,
    falloffStops,
    // Where part of the way round is missing, the harmonics may overshoot in between.
    oneSidedStops: Math.min(falloffStops, 2 * Math.hypot(cos, sin)),
    twoSidedStops: Math.min(falloffStops, 2 * Math.hypot(cos2, sin2)),
    darkSideDeg: (Math.atan2(-sin, -cos) * DEGREES + 360) % 360,
  };
}

/** Which bin a direction falls into; any number of degrees. */
export function binOf(azimuthDeg: number): number {
  return Math.floor((((azimuthDeg % 360) + 360) % 360) / BIN_DEG) % BINS;
}

/** Mean direction of the photos of one bin, degrees: they need not stand in its middle. */
function middleOf(photos: readonly SideLight[]): number {
  const turned = photos.map(({ azimuthDeg }) => ((azimuthDeg % 360) + 360) % 360);
  return turned.reduce((sum, azimuthDeg) => sum + azimuthDeg, 0) / turned.length;
}

/** Mean, then cosine and sine of the first and the second harmonic, by least squares over the filled bins. */
function fitHarmonics(bins: readonly SideLight[]): number[] {
  const rows = bins.map(({ azimuthDeg }) => {
    const angle = azimuthDeg / DEGREES;
    return [1, Math.cos(angle), Math.sin(angle), Math.cos(2 * angle), Math.sin(2 * angle)];
  });
  const values = Matrix.columnVector(bins.map(({ stops }) => stops));
  return solve(new Matrix(rows), values).to1DArray();
}

/** Photos within this of the dark side see it, degrees. */
const DARK_SIDE_DEG = 60;

/** Which of the photos see the dark side: within DARK_SIDE_DEG of it, and darker than the middle of the falloff. */
export function darkSide(photos: readonly SideLight[], falloff: Falloff): boolean[] {
  const filled = falloff.bins.filter((value) => value !== undefined);
  const middle = (Math.max(...filled) + Math.min(...filled)) / 2;
  return photos.map(({ azimuthDeg, stops }) => {
    const off = Math.abs(((((azimuthDeg - falloff.darkSideDeg) % 360) + 540) % 360) - 180);
    return off <= DARK_SIDE_DEG && stops < middle;
  });
}
