import type { Ordered } from "./gather/order.js";
import type { ReadPhoto } from "./gather/read-photo.js";
import type { Run } from "./gather/run.js";
import { linkPhotos } from "./measure/pairing/link.js";
import { comparableFacts } from "./measure/set/comparable.js";
import { roundFacts } from "./measure/set/round.js";
import { solvedMeasures } from "./measure/set/solved.js";
import type { Facts } from "./types/facts.js";

/** The facts that photos have together, and each of them within the set. */
export type SetFacts = Pick<Facts, "orderedBy" | "photos" | "pairs" | "around" | "light">;

/**
 * Measures photos against one another: which show the same surface, where the cameras stood, which pixels are the
 * subject's and how it is lit. Ends the run's threads for single photos and pairs.
 *
 * @param photos in capture order
 * @param spanDeg how much of the way round the subject is wanted, degrees in (0, 360]
 */
export async function measureSet(
  run: Run,
  { photos, orderedBy }: Ordered<ReadPhoto>,
  spanDeg: number,
): Promise<SetFacts> {
  const turning = run.seeTurning(photos);
  const linking = await linkPhotos(
    photos.length,
    run.voteForPairs(photos),
    async (candidates) => run.measurePairs(photos, candidates, (await turning) === true),
    ({ facts }) => facts.verifiedMatches > 0,
  );
  // Their threads' memory is worth more to what follows.
  await run.endPairs();
  const pairs = linking.compared.map(({ a, b, result }) => ({
    a,
    b,
    ...result,
    facts: comparableFacts(photos[a], photos[b], result.facts),
  }));
  const solved = solvedMeasures(
    photos.map(({ measures }) => measures),
    pairs,
    linking.comparedWith,
  );
  const { around, subjects, light } = await run.measureTogether({
    photos,
    pairs,
    solved,
    spanDeg,
    turnedSubject: await turning,
  });
  await run.pause();
  return roundFacts({
    orderedBy,
    photos: photos.map(({ data: _, ...photo }, i) => ({
      ...photo,
      measures: { ...photo.measures, ...solved[i] },
      subject: subjects[i],
    })),
    pairs: pairs.map(({ a, b, facts }) => ({ a: photos[a].file, b: photos[b].file, ...facts })),
    around,
    light,
  });
}
