import type { Cells, Features } from "../../types.js";
import type { PartSolution } from "../around/around.js";
import type { TrackLink } from "../around/tracks.js";
import { medianOf } from "../differences.js";
import { addScaled, length } from "../geometry/vector.js";
import { type Evidence, evidenceOf, priorOf } from "./evidence.js";
import { carveHull, projectHull } from "./hull.js";
import { placeOf } from "./place.js";
import { triangulate } from "./points.js";
import { likenessOf, spread } from "./spread.js";
import type { View } from "./view.js";

/** Which cells of a photo show the subject. */
export interface SubjectRegion {
  /** The grid of the photo's cells, upright frame. */
  readonly columns: number;
  readonly rows: number;
  /** Chance that each cell shows the subject, 0 to 1, row-major: 0.5 and more counts as subject. */
  readonly share: Float32Array;
  /** 0 (guesswork) to 1. */
  readonly confidence: number;
  /** Found from the matches' geometry, or taken to be the middle of the frame. */
  readonly source: "geometry" | "centre";
}

/** What the region needs of a photo. */
export interface RegionPhoto {
  readonly features: Features;
  readonly cells: Cells;
}

/** Fewest cameras around a subject whose place can be told. */
const FEWEST_CAMERAS = 5;

/** Trust in the place alone, against a likeness of up to 1 between neighbouring cells: decides where nothing else does. */
const PRIOR_TRUST = 0.015;
/** And beyond the place's edge, where the subject cannot be. */
const OUTSIDE_TRUST = 0.5;
/** Trust in what the other views say. */
const HULL_TRUST = 0.12;
/** Most that the matches of one cell count. */
const MOST_EVIDENCE = 2;

/**
 * The subject's region in every photo. What the matches say (on the subject, on the table, behind) is spread over cells
 * of like colour, the views are put together to the shape that all of them allow, and each view is asked again with
 * that shape in mind.
 *
 * @param links confirmed matches of pairs, by photo
 * @param parts photos that hang together, with their solved cameras
 * @returns one a photo; photos without a place get the middle of the frame, at low confidence
 */
export function subjectRegions(
  photos: readonly RegionPhoto[],
  links: readonly TrackLink[],
  parts: readonly { readonly solution?: PartSolution }[],
): SubjectRegion[] {
  const regions: SubjectRegion[] = photos.map(({ cells }) => centreRegion(cells));
  for (const { solution } of parts) {
    if (solution === undefined || solution.cameras.length < FEWEST_CAMERAS) continue;
    const found = regionsOf(photos, links, solution);
    for (const [k, region] of found.entries()) regions[solution.cameras[k].photo] = region;
  }
  return regions;
}

function regionsOf(
  photos: readonly RegionPhoto[],
  links: readonly TrackLink[],
  solution: PartSolution,
): SubjectRegion[] {
  const own = solution.cameras.map(({ photo }) => photos[photo]);
  const views = solution.cameras.map(({ rotation, centre, intrinsics }, k): View => {
    const { features, cells } = own[k];
    const { widthPx, heightPx } = features;
    return { rotation, centre, intrinsics, widthPx, heightPx, columns: cells.columns, rows: cells.rows };
  });
  const place = new Map(solution.cameras.map(({ photo }, k) => [photo, k]));
  const inside = links.flatMap(({ i, j, inliers }) => {
    const [a, b] = [place.get(i), place.get(j)];
    return a === undefined || b === undefined ? [] : [{ i: a, j: b, inliers }];
  });
  const distance = medianOf(views.map(({ centre }) => length(addScaled(centre, solution.subjectCentre, -1))));
  const features = own.map((photo) => photo.features);
  const points = triangulate(views, features, inside, distance);
  const at = placeOf(views, points, solution.subjectCentre, solution.up);
  const evidence = evidenceOf(views, features, points, at);
  const likeness = own.map(({ cells }) => likenessOf(cells));
  const priors = views.map((view) => priorOf(view, at));
  const beliefs = views.map((_, k) => {
    const { trust, wish } = known(evidence[k], priors[k]);
    return spread(likeness[k], trust, wish);
  });
  const hull = carveHull(views, beliefs, at);
  return views.map((view, k) => {
    const { trust, wish } = known(evidence[k], priors[k], projectHull(hull, view));
    const share = spread(likeness[k], trust, wish);
    return { columns: view.columns, rows: view.rows, share, confidence: 1, source: "geometry" };
  });
}

/** Trust and wish of every cell, from matches, the place and (second time round) the other views. */
function known(
  { subject, background }: Evidence,
  prior: Float32Array,
  hull?: Float32Array,
): { trust: Float32Array; wish: Float32Array } {
  const trust = new Float32Array(prior.length);
  const wish = new Float32Array(prior.length);
  for (let i = 0; i < prior.length; i++) {
    const all = subject[i] + background[i];
    const evidence = Math.min(MOST_EVIDENCE, all);
    const outside = prior[i] === 0;
    const own = outside ? OUTSIDE_TRUST : PRIOR_TRUST;
    const others = hull === undefined || outside ? 0 : HULL_TRUST;
    trust[i] = own + evidence + others;
    const said = all > 0 ? (evidence * subject[i]) / all : 0;
    wish[i] = (own * prior[i] + said + others * (hull?.[i] ?? 0)) / trust[i];
  }
  return { trust, wish };
}

/** Confidence in the middle of the frame: most people aim at what they photograph. */
const CENTRE_CONFIDENCE = 0.2;
/** Half axes of the ellipse taken for the subject, as a share of the frame's sides: about the middle quarter. */
const CENTRE_REACH = 0.28;

/** Where nothing is known: the middle of the frame. */
export function centreRegion({ columns, rows }: Pick<Cells, "columns" | "rows">): SubjectRegion {
  const share = new Float32Array(columns * rows);
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      const x = ((column + 0.5) / columns - 0.5) / CENTRE_REACH;
      const y = ((row + 0.5) / rows - 0.5) / CENTRE_REACH;
      share[i] = Math.exp(-Math.LN2 * (x * x + y * y));
    }
  }
  return { columns, rows, share, confidence: CENTRE_CONFIDENCE, source: "centre" };
}
