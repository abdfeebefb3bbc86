import type { AroundFacts, AroundPart } from "../../types/around.js";
import type { AroundMeasures } from "./around.js";
import type { Step } from "./coverage.js";
import type { PartMeasures } from "./part.js";

/**
 * What was measured around the subject as facts: photos by their file names, the solution itself left out.
 *
 * @param files names by photo number
 * @param wantedSpanDeg how much of the way round is wanted, as it was measured with
 */
export function aroundFacts(
  { parts, focalSource, focalFactor, upSource, unplaced, turnedSubject }: AroundMeasures,
  files: readonly string[],
  wantedSpanDeg: number,
): AroundFacts {
  return {
    wantedSpanDeg,
    parts: parts.map((part) => partFacts(part, files)),
    focalSource,
    focalFactor,
    upSource,
    ...(unplaced.length > 0 && {
      unplaced: unplaced.map(({ photo, reason, joinTo }) => ({
        file: files[photo],
        reason,
        ...(joinTo !== undefined && { joinTo: files[joinTo] }),
      })),
    }),
    ...(turnedSubject === undefined ? {} : { turnedSubject }),
  };
}

function partFacts(part: PartMeasures, files: readonly string[]): AroundPart {
  const named = (photos: readonly number[]) => photos.map((photo) => files[photo]);
  const ends = ({ fromPhoto, toPhoto }: Pick<Step, "fromPhoto" | "toPhoto">) => ({
    fromPhoto: files[fromPhoto],
    toPhoto: files[toPhoto],
  });
  return {
    photos: named(part.photos),
    confidence: part.confidence,
    cameras: part.cameras.map(({ photo, azimuthDeg, elevationDeg, uncertaintyDeg }) => ({
      file: files[photo],
      azimuthDeg,
      elevationDeg,
      uncertaintyDeg,
    })),
    closed: part.closed,
    ...(part.laidOver && { laidOver: { ...part.laidOver, photos: named(part.laidOver.photos) } }),
    bands: part.bands.map(({ name, photos, spanDeg, closed, steps }) => ({
      name,
      photos: named(photos),
      spanDeg,
      closed,
      steps: steps.map(({ fromPhoto, toPhoto, ...step }) => ({ ...ends({ fromPhoto, toPhoto }), ...step })),
    })),
    bandGaps: part.bandGaps.map(({ lower, upper, angleDeg, ...photos }) => ({
      lower,
      upper,
      ...ends(photos),
      angleDeg,
    })),
    viewsPerDirection: part.viewsPerDirection,
  };
}
