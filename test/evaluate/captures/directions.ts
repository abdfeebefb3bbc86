import { vectorOf } from "#goodgate/measure/coverage/directions.js";
import { percentile } from "../table.js";
import { directionErrors } from "./fit.js";
import type { Capture, Topic } from "./topic.js";

/** Where cameras stood, against published poses. */
export const directions: Topic = {
  title: "Directions",
  about:
    "Photos with a known pose: share placed in the largest part; angle between solved and true direction after the best rotation, " +
    "degrees, median and largest; share of placed photos within twice their stated uncertainty; median of what is stated; " +
    "confidence; photos placed in other parts; whether the subject was turned, and what was said of it.",
  columns: [
    "posed",
    "placed",
    "median",
    "largest",
    "within twice",
    "stated",
    "confidence",
    "elsewhere",
    "turned",
    "called",
    "lens",
  ],
  rows: (capture) => {
    const { truth, report } = capture;
    const { turnedSubject, parts, focalSource, focalFactor } = report.facts.around;
    const posed = truth.directions.size;
    const called = turnedSubject === undefined ? "not asked" : turnedSubject ? "yes" : "no";
    const [main, ...others] = parts.filter(({ cameras }) => cameras.length > 0);
    const elsewhere = others.reduce((sum, { cameras }) => sum + cameras.length, 0);
    const turned = [truth.turned ? "yes" : "no", called, `${focalSource} x ${focalFactor.toFixed(3)}`];
    if (main === undefined || posed === 0)
      return [[posed, "-", "-", "-", "-", "-", main?.confidence ?? "-", elsewhere, ...turned]];
    const placed = placedErrors(capture);
    const errors = placed.map(({ error }) => error);
    const stated = placed.map(({ uncertaintyDeg }) => uncertaintyDeg);
    const within = placed.filter(({ error, uncertaintyDeg }) => error <= 2 * uncertaintyDeg).length;
    return [
      [
        posed,
        placed.length / posed,
        percentile(errors, 0.5),
        percentile(errors, 1),
        within / placed.length,
        percentile(stated, 0.5),
        main.confidence,
        elsewhere,
        ...turned,
      ],
    ];
  },
};

export interface PlacedError {
  readonly file: string;
  /** Degrees. */
  readonly error: number;
  readonly uncertaintyDeg: number;
}

/** Each photo of the largest placed part whose pose is known. */
export function placedErrors({ truth, report }: Capture): PlacedError[] {
  const main = report.facts.around.parts.find(({ cameras }) => cameras.length > 0);
  const placed = (main?.cameras ?? []).filter(({ file }) => truth.directions.has(file));
  const errors = directionErrors(
    placed.map(vectorOf),
    placed.map(({ file }) => truth.directions.get(file) ?? []),
  );
  return placed.map(({ file, uncertaintyDeg }, k) => ({ file, error: errors[k], uncertaintyDeg }));
}
