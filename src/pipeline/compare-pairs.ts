import { linkPhotos } from "../measure/pairing/link.js";
import type { Candidate } from "../measure/parts.js";
import { comparableFacts } from "../measure/set/comparable.js";
import { farPairsInTurn, subjectTurned } from "../measure/turntable/turned-subject.js";
import { MANY } from "../runtime/memory.js";
import { PairAsking } from "./ask-pairs.js";
import type { AuditRuntime } from "./audit-runtime.js";
import type { PairResult } from "./compare-pair.js";
import type { ReadPhoto } from "./photo-data.js";
import { SHARED, SHARED_MOVING, STATIC } from "./questions.js";

/** Pairs of photos that look alike, by their places in `photos`. */
export async function choosePairs(
  runtime: AuditRuntime,
  photos: readonly ReadPhoto[],
): Promise<readonly (readonly [number, number])[]> {
  const alike = await runtime.whole(
    "choosePairs",
    photos.map(({ data }) => data),
  );
  // That of many photos takes as much memory as the threads that compare them, and its thread would keep it.
  if (photos.length > MANY) await runtime.rest("whole");
  return alike;
}

/** What pairs of photos show. */
export interface ComparedPairs {
  /** By places in capture order, sorted. */
  readonly pairs: readonly (Candidate & PairResult)[];
  /** How many others each photo was compared with. */
  readonly comparedWith: Int32Array;
  /** Whether the subject was turned before a camera at rest; undefined where there are too few photos to ask. */
  readonly turnedSubject: boolean | undefined;
}

/**
 * Compares neighbours in capture order, then pairs that look alike. Gives the threads' memory back: it is worth more to
 * what follows.
 *
 * @param photos in capture order
 * @param alike while they are being chosen, neighbours are compared
 */
export async function comparePairs(
  runtime: AuditRuntime,
  photos: readonly ReadPhoto[],
  alike: ReturnType<typeof choosePairs>,
): Promise<ComparedPairs> {
  const asking = new PairAsking(runtime, photos);
  try {
    const turned = wasTurned(asking, photos.length);
    const { compared, comparedWith } = await linkPhotos(
      photos.length,
      alike,
      async (candidates) => {
        const question = (await turned) === true ? SHARED_MOVING : SHARED;
        if (photos.length > MANY) await alike;
        return asking.ask(question, candidates, "pairs");
      },
      ({ facts }) => facts.verifiedMatches > 0,
    );
    const pairs = compared.map(({ a, b, result }) => ({
      a,
      b,
      ...result,
      facts: comparableFacts(photos[a], photos[b], result.facts),
    }));
    return { pairs, comparedWith, turnedSubject: await turned };
  } finally {
    const rested = runtime.rest("many");
    asking.save();
    await rested;
  }
}

/** Whether far pairs see a background at rest: the later ones are asked only where any of the first does. */
async function wasTurned(asking: PairAsking, photos: number): Promise<boolean | undefined> {
  const [first, rest] = farPairsInTurn(photos);
  const votes = await asking.ask(STATIC, first);
  if (votes.some(({ still }) => still)) votes.push(...(await asking.ask(STATIC, rest)));
  return subjectTurned(votes);
}
