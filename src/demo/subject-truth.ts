import { outlineOf, subjectMesh } from "./outline.js";
import type { SetPlan } from "./plan.js";
import { makeProp } from "./props/index.js";
import type { LinearPhoto } from "./render.js";
import { turnPart } from "./scene.js";
import { radians } from "./vector.js";

/** What is true of the subject in one photo. */
export interface SubjectTruth {
  /** Share of the frame that the subject covers. */
  readonly areaRatio: number;
  /** Share of its outline's area that lies beyond the frame's edges. */
  readonly cutRatio: number;
  /** Longest side of the box around its outline over the frame's short side. */
  readonly sideRatio: number;
  /**
   * log2 of the median linear luminance (ITU-R BT.709) of the pixels wholly on the subject, before any exposure of the
   * photo's own: how bright the subject is from here. Absent where it is not in the picture.
   */
  readonly luminanceStops?: number;
}

/** The same photos in another size, for truth that needs no fine picture. Faults and names stay. */
export function atSize(plan: SetPlan, longEdgePx: number): SetPlan {
  const photos = plan.photos.map((photo) => {
    const { camera } = photo;
    const scale = longEdgePx / Math.max(camera.widthPx, camera.heightPx);
    return {
      ...photo,
      camera: {
        ...camera,
        widthPx: Math.round(camera.widthPx * scale),
        heightPx: Math.round(camera.heightPx * scale),
        focalPx: camera.focalPx * scale,
      },
    };
  });
  return { ...plan, photos };
}

function middleOf(values: number[]): number {
  return values.sort((a, b) => a - b)[values.length >> 1];
}

/** Truth about the subject of photo `index`, from what `renderLinear` drew of the same plan in any size. */
export function subjectTruth(
  plan: SetPlan,
  index: number,
  { image, mask }: Pick<LinearPhoto, "image" | "mask">,
): SubjectTruth {
  const { subject, seed, material, subjectSize } = plan.options;
  const photo = plan.photos[index];
  const prop = makeProp(subject, seed, material, subjectSize);
  const outline = outlineOf(
    subjectMesh(prop.map((part) => turnPart(part, radians(photo.subjectTurnDeg)))),
    photo.camera,
  );
  let covered = 0;
  const luminance: number[] = [];
  for (let i = 0; i < mask.length; i++) {
    covered += mask[i] / 255;
    if (mask[i] < 255) continue;
    luminance.push(
      0.2126 * image.data[3 * i] + 0.7152 * image.data[3 * i + 1] + 0.0722 * image.data[3 * i + 2],
    );
  }
  return {
    areaRatio: covered / mask.length,
    cutRatio: outline.cutRatio,
    sideRatio: outline.sideRatio,
    ...(luminance.length === 0 ? {} : { luminanceStops: Math.log2(Math.max(1e-6, middleOf(luminance))) }),
  };
}
