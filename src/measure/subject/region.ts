import type { Cells, Features } from "../../types/photo.js";
import type { PartSolution } from "../coverage/part.js";
import { addScaled, length } from "../geometry/vector.js";
import type { TrackLink } from "../poses/tracks.js";
import { remember } from "../recent.js";
import { upperMedian } from "../statistics.js";
import { dropSpecks } from "./components.js";
import type { SubjectRegion } from "./cover.js";
import { afterBare, bareOdds, type Evidence, evidenceOf, priorOf } from "./evidence.js";
import { type Framing, framingOf } from "./framing.js";
import { carveHull, type Hull, projectHull } from "./hull.js";
import { placeOf } from "./place.js";
import { triangulate } from "./points.js";
import { affinityOf, spread } from "./spread.js";
import type { View } from "./view.js";

/** A region as it is held for every photo of a set, in a quarter of the memory. */
export interface HeldRegion extends Omit<SubjectRegion, "share"> {
  /** The shares in 255ths. */
  readonly share255: Uint8Array;
}

export function heldRegion({ share, ...region }: SubjectRegion): HeldRegion {
  // Not by from(), which makes an object for every cell.
  const share255 = new Uint8Array(share.length);
  for (let i = 0; i < share.length; i++) share255[i] = Math.round(255 * share[i]);
  return { ...region, share255 };
}

export function regionOf({ share255, ...held }: HeldRegion): SubjectRegion {
  const share = new Float32Array(share255.length);
  for (let i = 0; i < share.length; i++) share[i] = share255[i] / 255;
  return { ...held, share };
}

/** The subject as one photo shows it. */
export interface SubjectView {
  readonly region: HeldRegion;
  readonly framing: Framing;
}

/** What the region needs of a photo. */
export interface RegionPhoto {
  readonly features: Features;
  readonly cells: Cells;
}

/** Fewest cameras around a subject whose place can be told. */
const FEWEST_CAMERAS = 5;

/** Most cameras whose views are put together at a time. */
const MOST_CAMERAS_AT_ONCE = 160;

/** Affinities at hand, 150 KB each: those of a usual set, which is gone through twice. */
const AFFINITIES_CACHED = 64;

/** Weight of the place alone, against an affinity of up to 1 between neighbouring cells: decides where nothing else does. */
const PRIOR_WEIGHT = 0.01;
/** And beyond the place's edge, where the subject cannot be. */
const OUTSIDE_WEIGHT = 0.5;
/** Weight of what the other views say. */
const HULL_WEIGHT = 0.06;
/** Most that the matches of one cell count. */
const MOST_EVIDENCE = 1;

/**
 * The subject in every photo: its region, and how it lies to the frame. What the matches say (on the subject, on the
 * table, behind) is spread over cells of like colour, the views are put together to the shape that all of them allow, and
 * each view is asked again with that shape in mind.
 *
 * @param dataOf keypoints and cells of a photo, asked for a few times each and not held
 * @param links confirmed matches of pairs, by photo
 * @param parts connected components of the photos, with their solved cameras
 * @returns one a photo; photos without a place get the middle of the frame, at low confidence
 */
export function findSubject(
  count: number,
  dataOf: (photo: number) => RegionPhoto,
  links: readonly TrackLink[],
  parts: readonly { readonly solution?: PartSolution }[],
): SubjectView[] {
  const found = new Map<number, SubjectView>();
  for (const { solution } of parts) {
    if (solution === undefined || solution.cameras.length < FEWEST_CAMERAS) continue;
    for (const some of portions(solution)) {
      partSubjects(dataOf, links, some).forEach((subject, k) => found.set(some.cameras[k].photo, subject));
    }
  }
  return Array.from({ length: count }, (_, photo) => found.get(photo) ?? centreSubject(dataOf(photo).cells));
}

/** A part's cameras in runs of like length: what is held of each is too much for thousands, and a hundred show a shape. */
function* portions(solution: PartSolution): Generator<PartSolution> {
  const { cameras } = solution;
  const size = Math.ceil(cameras.length / Math.ceil(cameras.length / MOST_CAMERAS_AT_ONCE));
  for (let from = 0; from < cameras.length; from += size)
    yield { ...solution, cameras: cameras.slice(from, from + size) };
}

function centreSubject(cells: Cells): SubjectView {
  const region = centreRegion(cells);
  return { region: heldRegion(region), framing: framingOf(region) };
}

/** The subject in the photos of one part; none where its cameras look at no one place. */
function partSubjects(
  dataOf: (photo: number) => RegionPhoto,
  links: readonly TrackLink[],
  solution: PartSolution,
): SubjectView[] {
  const { views, keypoints } = viewsOf(dataOf, solution);
  const distance = upperMedian(
    views.map(({ centre }) => length(addScaled(centre, solution.subjectCentre, -1))),
  );
  const points = triangulate(views, keypoints, linksWithin(links, solution), distance);
  const at = placeOf(views, points, solution.subjectCentre, solution.up);
  if (at === undefined) return [];
  const evidence = evidenceOf(views, keypoints, points, at);
  const priors = views.map((view) => priorOf(view, at));
  const bare = bareOdds(evidence, priors);
  const affinity = remember(AFFINITIES_CACHED, (k: number) =>
    affinityOf(dataOf(solution.cameras[k].photo).cells),
  );
  const scratch = knowledgeOf(Math.max(...views.map(({ columns, rows }) => columns * rows)));
  const believe = (k: number, hull?: Hull): Float32Array => {
    const { weight, observation } = known(
      evidence[k],
      priors[k],
      bare,
      hull && projectHull(hull, views[k]),
      scratch,
    );
    return spread(affinity(k), weight, observation);
  };
  const hull = carveHull(views, (k) => believe(k), at);
  return views.map((view, k) => {
    const share = believe(k, hull);
    dropSpecks(share, view.columns, view.rows);
    const confidence = certaintyOf(share) * (1 - openEdge(share, priors[k], view.columns));
    const region = { columns: view.columns, rows: view.rows, share, confidence, source: "geometry" as const };
    const framing = framingOf(region, { view, hull });
    return { region: heldRegion(region), framing };
  });
}

/** Where keypoints lie, and how large they are: what is held of every photo's features. */
type Keypoints = Pick<Features, "x" | "y" | "scale">;

function viewsOf(
  dataOf: (photo: number) => RegionPhoto,
  { cameras }: PartSolution,
): { views: View[]; keypoints: Keypoints[] } {
  const views: View[] = [];
  const keypoints: Keypoints[] = [];
  for (const { photo, rotation, centre, intrinsics } of cameras) {
    const { features, cells } = dataOf(photo);
    const { widthPx, heightPx, x, y, scale } = features;
    const { columns, rows } = cells;
    views.push({ rotation, centre, intrinsics, widthPx, heightPx, columns, rows });
    keypoints.push({ x: x.slice(), y: y.slice(), scale: scale.slice() });
  }
  return { views, keypoints };
}

/** The links between a part's cameras, by place among them. */
function linksWithin(links: readonly TrackLink[], { cameras }: PartSolution): TrackLink[] {
  const place = new Map(cameras.map(({ photo }, k) => [photo, k]));
  return links.flatMap(({ i, j, inliers }) => {
    const [a, b] = [place.get(i), place.get(j)];
    return a === undefined || b === undefined ? [] : [{ i: a, j: b, inliers }];
  });
}

/**
 * Share of a region's edge that is only the end of the place that was looked at: all of it before a wall, where nothing
 * stands out; none around a thing.
 */
function openEdge(share: Float32Array, prior: Float32Array, columns: number): number {
  let edge = 0;
  let open = 0;
  for (let i = 0; i < share.length; i++) {
    if (share[i] < 0.5) continue;
    const next = [
      i % columns > 0 ? i - 1 : i,
      i % columns < columns - 1 ? i + 1 : i,
      i - columns,
      i + columns,
    ];
    for (const other of next) {
      if (other < 0 || other >= share.length || share[other] >= 0.5) continue;
      edge++;
      if (prior[other] === 0 || prior[i] === 0) open++;
    }
  }
  return edge === 0 ? 0 : open / edge;
}

/** How sure the cells of a region are on average: 1 where matches decide all of it, near 0 where the place alone does. */
function certaintyOf(share: Float32Array): number {
  let sum = 0;
  let count = 0;
  for (const chance of share) {
    if (chance < 0.5) continue;
    sum += 2 * chance - 1;
    count++;
  }
  return count === 0 ? 0 : sum / count;
}

/** What is known of each cell before it is spread. */
interface Knowledge {
  readonly weight: Float32Array;
  /** 0 to 1. */
  readonly observation: Float32Array;
}

function knowledgeOf(cells: number): Knowledge {
  return { weight: new Float32Array(cells), observation: new Float32Array(cells) };
}

/** Weight and observation of every cell, from matches, the place and (second time round) the other views. */
function known(
  { subject, background, near }: Evidence,
  prior: Float32Array,
  bare: number,
  hull: Float32Array | undefined,
  scratch: Knowledge,
): Knowledge {
  const weight = scratch.weight.subarray(0, prior.length);
  const observation = scratch.observation.subarray(0, prior.length);
  for (let i = 0; i < prior.length; i++) {
    const all = subject[i] + background[i];
    const evidence = Math.min(MOST_EVIDENCE, all);
    const outside = prior[i] === 0;
    const own = outside ? OUTSIDE_WEIGHT : PRIOR_WEIGHT;
    const others = hull === undefined || outside ? 0 : HULL_WEIGHT;
    weight[i] = own + evidence + others;
    const said = all > 0 ? (evidence * subject[i]) / all : 0;
    const before = near[i] === 1 ? prior[i] : afterBare(prior[i], bare);
    observation[i] = (own * before + said + others * (hull?.[i] ?? 0)) / weight[i];
  }
  return { weight, observation };
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
