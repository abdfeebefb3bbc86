import type { SubjectFacts, SubjectMeasures } from "../../types/facts.js";
import type { SharedSpot } from "../../types/pair.js";
import type { TileMeasures } from "../../types/photo.js";
import type { PartSolution } from "../coverage/part.js";
import { named } from "../set/solved.js";
import { measureSubject } from "./measures.js";
import { detailOffsets, type OffsetPair } from "./offsets.js";
import { outlineOf } from "./outline.js";
import { findSubject, type RegionPhoto, regionOf, type SubjectView } from "./region.js";
import { sharedSpots } from "./shared-spots.js";

/** The subject of a set: where it is in every photo, and what was measured on it. */
export interface Subject {
  /** One a photo. */
  readonly views: readonly SubjectView[];
  readonly facts: readonly SubjectFacts[];
  /** One a pair. */
  readonly spots: readonly (SharedSpot | undefined)[];
}

/**
 * Finds the subject in every photo and measures it there.
 *
 * @param tiles of every photo
 * @param dataOf keypoints and cells of a photo, asked for a few times each and not held
 * @param pairs linked photos, by place, with their confirmed matches
 * @param parts connected components of the photos, with their solved cameras
 */
export function subjectOf(
  tiles: readonly TileMeasures[],
  dataOf: (photo: number) => RegionPhoto,
  pairs: readonly OffsetPair[],
  parts: readonly { readonly solution?: PartSolution }[],
): Subject {
  const views = findSubject(tiles.length, dataOf, pairs, parts);
  const detail = detailOffsets(
    (photo) => dataOf(photo).features,
    views.map(({ region }) => region),
    pairs,
  );
  const facts = views.map((view, k): SubjectFacts => {
    const measures: SubjectMeasures = {
      ...measureSubject({ ...dataOf(k), tiles: tiles[k] }, regionOf(view.region), view.framing),
      ...named("detailOffsetStops", detail[k], "stops"),
    };
    const { source } = view.region;
    return { source, measures, ...(source === "geometry" && { outline: outlineOf(regionOf(view.region)) }) };
  });
  const regions = views.map(({ region }) => region);
  return { views, facts, spots: sharedSpots((photo) => dataOf(photo).features, regions, pairs) };
}
