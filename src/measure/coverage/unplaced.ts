import type { UnplacedReason } from "../../types/around.js";
import { FEWEST_PLACED } from "../poses/placed.js";
import type { SolvedCameras } from "../poses/solve-cameras.js";
import type { PartMeasures } from "./part.js";

/** A photo without a direction: see UnplacedPhoto. */
export interface Unplaced {
  readonly photo: number;
  readonly reason: UnplacedReason;
  readonly joinTo?: number;
}

/** Photos that have no direction, ascending, why, and which placed photo they could be joined to. */
export function unplacedPhotos(
  parts: readonly PartMeasures[],
  { contradicted, undecided, set }: Pick<SolvedCameras, "contradicted" | "undecided" | "set">,
): Unplaced[] {
  const placed = new Set(parts.flatMap(({ cameras }) => cameras.map(({ photo }) => photo)));
  const reasonOf = (photo: number, { photos, cameras }: PartMeasures): UnplacedReason => {
    if (photos.length < FEWEST_PLACED) return "shares too little";
    if (undecided) return "sides look alike";
    if (contradicted.has(photo)) return "contradicted";
    return cameras.length === 0 ? "no common subject" : "shares too little";
  };
  return parts
    .flatMap((part) => part.photos.map((photo) => ({ photo, part })))
    .filter(({ photo }) => !placed.has(photo))
    .sort((p, q) => p.photo - q.photo)
    .map(({ photo, part }) => {
      const joinTo = sharesMost(photo, placed, set.tried) ?? nearestTo(photo, placed);
      return { photo, reason: reasonOf(photo, part), ...(joinTo !== undefined && { joinTo }) };
    });
}

function sharesMost(
  photo: number,
  placed: ReadonlySet<number>,
  links: SolvedCameras["set"]["tried"],
): number | undefined {
  const own = links.flatMap(({ i, j, matches }) => {
    const other = i === photo ? j : j === photo ? i : undefined;
    return other !== undefined && placed.has(other) ? [{ other, matches }] : [];
  });
  return own.sort((p, q) => q.matches - p.matches || p.other - q.other)[0]?.other;
}

/** In capture order. */
function nearestTo(photo: number, placed: ReadonlySet<number>): number | undefined {
  return [...placed].sort((p, q) => Math.abs(p - photo) - Math.abs(q - photo) || p - q)[0];
}
