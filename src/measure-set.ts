import { onceEach } from "./gather/once.js";
import type { Ordered } from "./gather/order.js";
import type { ReadPhoto, Run } from "./gather/run.js";
import { aroundFacts } from "./measure/around/facts.js";
import { voteForPairs } from "./measure/around/select-pairs.js";
import { litPhotos } from "./measure/light/input.js";
import { measureLight } from "./measure/light/light.js";
import { comparableFacts, sharpnessGroup } from "./measure/set/comparable.js";
import { type Candidate, linkPhotos } from "./measure/set/link.js";
import { roundFacts } from "./measure/set/round.js";
import { solvedMeasures } from "./measure/set/solved.js";
import { subjectOf } from "./measure/subject/subject.js";
import type { Facts, Features } from "./types.js";

/** The facts that photos have together, and each of them within the set. */
export type SetFacts = Pick<Facts, "orderedBy" | "photos" | "pairs" | "around" | "light">;

/**
 * Measures photos against one another: which show the same surface, where the cameras stood, which pixels are the
 * subject's and how it is lit. Each step takes what those before it found. Ends the run's threads, which only comparing
 * needs.
 *
 * @param photos in capture order
 * @param spanDeg how much of the way round the subject is wanted, degrees in (0, 360]
 */
export async function measureSet(
  run: Run,
  { photos, orderedBy }: Ordered<ReadPhoto>,
  spanDeg: number,
): Promise<SetFacts> {
  const turnedSubject = await run.seeTurning(photos);
  const linking = await linkPhotos(
    photos.length,
    voteForPairs(featuresOf(run, photos)),
    (candidates) => run.measurePairs(photos, candidates, turnedSubject === true),
    ({ facts }) => facts.verifiedMatches > 0,
  );
  // Their memory is worth more to what follows.
  await run.endThreads();
  const pairs = linking.compared.map(({ a, b, result }) => ({
    a,
    b,
    ...result,
    facts: comparableFacts(photos[a], photos[b], result.facts),
  }));
  const solved = solvedMeasures(photos.length, pairs, linking.comparedWith);
  const around = await run.measureAround(
    photos.map((photo) => ({
      features: pointsOf(run.dataOf(photo).features),
      focalLength35Mm: photo.exif.focalLength35Mm,
    })),
    betweenFirsts(pairs, firstCopies(photos)).map(({ a, b, inliers, facts, pose }) => ({
      i: a,
      j: b,
      inliers,
      verifiedRatio: facts.verifiedRatio,
      ...(pose && { pose }),
    })),
    { spanDeg, turnedSubject },
  );
  const subject = subjectOf(
    photos.map(({ tiles }) => tiles),
    (photo) => run.dataOf(photos[photo]),
    pairs.map(({ a, b, inliers }) => ({
      i: a,
      j: b,
      inliers,
      comparable: sharpnessGroup(photos[a]) === sharpnessGroup(photos[b]),
    })),
    around.parts,
  );
  const light = measureLight(
    litPhotos(photos, solved, subject.views, around.parts),
    (photo) => run.dataOf(photos[photo]),
    pairs.map(({ a, b, inliers, facts }) => ({ a, b, inliers, driftStops: facts.exposureDriftStops })),
    turnedSubject === true,
  );
  return roundFacts({
    orderedBy,
    photos: photos.map(({ data: _, ...photo }, i) => ({
      ...photo,
      measures: { ...photo.measures, ...solved[i] },
      subject: subject.facts[i],
    })),
    pairs: pairs.map(({ a, b, facts }) => ({ a: photos[a].file, b: photos[b].file, ...facts })),
    around: aroundFacts(
      around,
      photos.map(({ file }) => file),
      spanDeg,
    ),
    light,
  });
}

/** For each photo, the first in order whose file holds the same bytes: a copy shows no other view. */
function firstCopies(photos: readonly ReadPhoto[]): number[] {
  const { firsts, placeOf } = onceEach([...photos.keys()], (i) => photos[i].contentHash);
  return placeOf.map((place) => firsts[place]);
}

/** Pairs of different photos, each once, copies standing for their firsts. */
function betweenFirsts<P extends Candidate>(pairs: readonly P[], firstOf: readonly number[]): readonly P[] {
  const different = pairs
    .map((pair) => ({ ...pair, a: firstOf[pair.a], b: firstOf[pair.b] }))
    .filter(({ a, b }) => a < b);
  return onceEach(different, ({ a, b }) => `${a} ${b}`).firsts;
}

/** Keypoints of one photo after another. */
function* featuresOf(run: Run, photos: readonly ReadPhoto[]): Generator<Features> {
  for (const photo of photos) yield run.dataOf(photo).features;
}

/** Where the keypoints are, without what else is known of them. */
function pointsOf({ x, y, widthPx, heightPx }: Features): Pick<Features, "x" | "y" | "widthPx" | "heightPx"> {
  return { x: x.slice(), y: y.slice(), widthPx, heightPx };
}
