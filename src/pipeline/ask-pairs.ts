import type { Candidate } from "../measure/parts.js";
import type { AuditRuntime, Stage } from "./audit-runtime.js";
import { onceEach } from "./once.js";
import { PairAnswers } from "./pair-answers.js";
import type { ReadPhoto } from "./photo-data.js";
import type { PairAnswer, PairStep, Question } from "./questions.js";

/** Asks pairs of the photos of one set, over all threads; what an earlier run was answered is taken from there. */
export class PairAsking {
  readonly #runtime: AuditRuntime;
  readonly #photos: readonly ReadPhoto[];
  readonly #answers = new Map<string, PairAnswers<unknown>>();

  /** @param photos in capture order */
  constructor(runtime: AuditRuntime, photos: readonly ReadPhoto[]) {
    this.#runtime = runtime;
    this.#photos = photos;
  }

  /** @returns one answer a candidate */
  async ask<N extends PairStep>(
    question: Question<N>,
    candidates: readonly Candidate[],
    stage?: Stage,
  ): Promise<PairAnswer<N>[]> {
    const photos = this.#photos;
    const answers = this.#runtime.lasting ? this.#answersTo(question) : undefined;
    const earlier = candidates.map(({ a, b }) => {
      const [keyA, keyB] = [keyOf(photos[a]), keyOf(photos[b])];
      return keyA && keyB && answers?.get(keyA, keyB);
    });
    const missing = candidates.filter((_, i) => earlier[i] === undefined);
    // Copies of a photo need no comparing anew.
    const { firsts, placeOf } = onceEach(missing, ({ a, b }) =>
      [photos[a].contentHash, photos[b].contentHash].join(),
    );
    const outcomes = await this.#runtime.each(
      question.step,
      firsts.map(({ a, b }) => question.taskOf(photos[a], photos[b])),
      {
        hold: question.hold,
        ...(stage && { stage }),
        // One by one, so that a run that is stopped keeps what was answered.
        onDone: (i, outcome) => {
          const [keyA, keyB] = [keyOf(photos[firsts[i].a]), keyOf(photos[firsts[i].b])];
          if (outcome.ok && keyA && keyB) answers?.add(keyA, keyB, outcome.value);
        },
      },
    );
    const measured = outcomes.map((outcome) => {
      // With photos that were measured, only a mistake in this program can make a pair fail.
      if (!outcome.ok) throw outcome.error;
      return outcome.value;
    });
    let next = 0;
    return earlier.map((answer) => answer ?? measured[placeOf[next++]]);
  }

  /** Writes what was answered, and caches nothing any more. */
  save(): void {
    for (const answers of this.#answers.values()) answers.save();
  }

  #answersTo<N extends PairStep>(question: Question<N>): PairAnswers<PairAnswer<N>> {
    const known = this.#answers.get(question.name) as PairAnswers<PairAnswer<N>> | undefined;
    const answers = known ?? new PairAnswers(this.#runtime.store, question);
    if (known === undefined) this.#answers.set(question.name, answers as PairAnswers<unknown>);
    return answers;
  }
}

/** The key of a photo's data; undefined where they could not be stored. */
export function keyOf({ data }: ReadPhoto): readonly string[] | undefined {
  return "key" in data ? data.key : undefined;
}
