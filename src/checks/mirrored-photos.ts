import { mirrorDistanceStops } from "../measure/set/mirror.js";
import { defineCheck, limit, measure } from "./define.js";

export const mirroredPhotos = defineCheck({
  id: "mirrored-photos",
  title: "photos beside their mirror images",
  serves: "one-whole",
  measures:
    "How far each photo is from being another one's mirror image: the mean difference of the fine detail of their tiles, mirrored left to right or upside down.",
  why: "A mirror image shows a thing that does not exist: its sides are swapped, and it joins the others the wrong way round or not at all.",
  advice: "Move the mirror images out, and take the other side with the camera.",
  limits: {
    apart: limit(
      0.25,
      "stops",
      "mirror images saved anew differ by 0.07 at the most, a photo and the nearest mirror image of any other by 0.5 and more: docs/evaluation-gate.md",
    ),
    timesOwn: limit(
      3,
      "times",
      "less than a third of how far the photo is from being symmetric itself; mirror images are under a tenth; our choice",
      [1, 100],
    ),
    share: limit(0.1, "ratio", "one chance likeness of a symmetric prop speaks for nothing; our choice"),
  },
  judge({ photos }, limits) {
    const mirrored = photos.filter(({ tiles, contentHash }) => {
      // A photo that is symmetric, or alike all over, is no mirror image of another.
      const own = mirrorDistanceStops(tiles, tiles) / limits.timesOwn.value;
      const most = Math.min(limits.apart.value, own);
      return photos.some(
        (other) => other.contentHash !== contentHash && mirrorDistanceStops(tiles, other.tiles) < most,
      );
    });
    const share = mirrored.length / photos.length;
    if (mirrored.length < 2 || share <= limits.share.value) return { findings: [], skipped: [] };
    return {
      findings: [
        {
          about: "set",
          severity: "reshoot",
          whatItIs: "alone",
          photos: mirrored.map(({ file }) => file),
          measured: measure(share, "ratio"),
          limit: limits.share,
          message: `${mirrored.length} of ${photos.length} photos are mirror images of one another.`,
          advice:
            "Move the mirrored ones out: they show a thing that does not exist. Then take the sides that are missing with the camera.",
        },
      ],
      skipped: [],
    };
  },
});
