import type { SolvedMeasures } from "../../types/facts.js";
import type { MeasuredPhoto } from "../../types/photo.js";
import type { PartMeasures } from "../coverage/part.js";
import { type HeldRegion, regionOf } from "../subject/region.js";
import type { LitPhoto } from "./light.js";

/**
 * What the light is measured from, out of what was measured before it. Directions are those of the largest part, since
 * between parts no angle is known; a region that is but the middle of the frame is no place to measure light in.
 *
 * @param photos one a photo in capture order, like `solved` and `views`
 */
export function litPhotos(
  photos: readonly Pick<MeasuredPhoto, "file" | "widthPx" | "heightPx" | "exif">[],
  solved: readonly SolvedMeasures[],
  views: readonly { readonly region: HeldRegion }[],
  parts: readonly PartMeasures[],
): LitPhoto[] {
  const directions = new Map(parts[0]?.cameras.map((camera) => [camera.photo, camera]));
  return photos.map(({ file, widthPx, heightPx, exif }, i) => {
    const { region } = views[i];
    return {
      file,
      widthPx,
      heightPx,
      exif,
      region: region.source === "geometry" ? () => regionOf(region) : undefined,
      exposureOffsetStops: solved[i].exposureOffsetStops?.value,
      redOffsetStops: solved[i].redOffsetStops?.value,
      blueOffsetStops: solved[i].blueOffsetStops?.value,
      direction: directions.get(i),
    };
  });
}
