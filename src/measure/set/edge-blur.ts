import type { Facts } from "../../types/facts.js";
import type { EdgeWidths } from "../../types/photo.js";
import { median } from "../statistics.js";
import { againstAround, FEWEST_FOR_MEDIAN, FEWEST_FOR_SET } from "./photos-around.js";

/** What the sharpest edges of a photo say of its blur; all px at a long edge of 1920 px. */
export interface EdgeBlur {
  /** Width across the direction where the sharpest edges are widest, and across that where they are narrowest. */
  readonly widestPx: number;
  readonly narrowestPx: number;
  /** The direction of the widest: that many times 22.5 degrees from along x, clockwise in the upright picture. */
  readonly direction: number;
  /** Most that a direction is wider than in the photos around, or in the set where the photo shares nothing; absent where there are too few. */
  readonly grownPx?: number;
}

/**
 * The blur of each photo by its edges: absolute, so that it holds for photos that share nothing with any other.
 *
 * @returns one a photo; undefined where it has too few edges in every direction
 */
export function edgeBlurs(facts: Facts): (EdgeBlur | undefined)[] {
  const usual = edgeWidthsOfSet(facts.photos);
  const directions = facts.photos.map(({ edgeWidthsPx }) => edgeWidthsPx?.length ?? 0);
  const grown = Array.from({ length: Math.max(0, ...directions) }, (_, direction) =>
    againstAround(
      facts,
      facts.photos.map(({ edgeWidthsPx }) => edgeWidthsPx?.[direction] ?? undefined),
    ),
  );
  return facts.photos.map(({ edgeWidthsPx = [] }, i) => {
    const known = edgeWidthsPx.flatMap((width, direction) => (width === null ? [] : [{ width, direction }]));
    if (known.length === 0) return undefined;
    const widest = known.reduce((most, one) => (one.width > most.width ? one : most));
    const changes = known.flatMap(({ width, direction }) => {
      const common = usual?.[direction];
      return grown[direction][i] ?? (common === null || common === undefined ? [] : width - common);
    });
    return {
      widestPx: widest.width,
      narrowestPx: Math.min(...known.map(({ width }) => width)),
      direction: widest.direction,
      ...(changes.length > 0 && { grownPx: Math.max(...changes) }),
    };
  });
}

/**
 * How wide the sharpest edges of a set's photos are across each direction, as the middle value of its photos: tells a set
 * that is out of focus (wide across all directions) or shaken (across some) throughout, where no photo stands out against
 * another. A Gaussian of sigma s gives about s and what the lens and the sharpening leave, 0 to 0.9 in sharp photos; a
 * straight shake of L px about L / 4.2 across its direction.
 *
 * @returns sigma, px at a long edge of 1920 px, 0 to 4, one a direction (see EdgeWidths); null where fewer than
 *   FEWEST_FOR_MEDIAN photos have edges enough there; undefined where fewer than FEWEST_FOR_SET have any
 */
export function edgeWidthsOfSet(
  photos: readonly { readonly edgeWidthsPx?: EdgeWidths }[],
): EdgeWidths | undefined {
  const known = photos.flatMap(({ edgeWidthsPx }) =>
    edgeWidthsPx?.some((width) => width !== null) ? [edgeWidthsPx] : [],
  );
  if (known.length < FEWEST_FOR_SET) return undefined;
  return known[0].map((_, direction) => {
    const widths = known.flatMap((one) => one[direction] ?? []);
    return widths.length < FEWEST_FOR_MEDIAN ? null : median(widths);
  });
}

/**
 * Length of a straight shake over the width that it brings, and the width that sharp edges hide, px: they read as no width
 * at all, so that the first part of a shake does not show. Fitted to straight shakes of 5 to 8 px put into rendered and real
 * photos, whose median comes out 1.7 px short at the most: docs/evaluation-shake.md.
 */
const LENGTH_OF_WIDTH = 4.6;
const HIDDEN_PX = 0.7;

/** How far the picture moved along the direction of the widest edges, px at 1920: by what they have over the narrowest; 0 where all are as wide. */
export function shakeLengthPx({ widestPx, narrowestPx }: EdgeBlur): number {
  const variance = widestPx ** 2 - narrowestPx ** 2;
  return variance <= 0 ? 0 : LENGTH_OF_WIDTH * Math.sqrt(variance + HIDDEN_PX ** 2);
}
