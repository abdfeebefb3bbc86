/** Rings, arcs and heaps of directions with links between neighbours: which of them are said to close. */
import { coverageOf, type PhotoLink, type PlacedPhoto } from "#goodgate/measure/coverage/coverage.js";
import { angleBetweenDirections, wrap360 } from "#goodgate/measure/coverage/directions.js";
import { gaussian, randomSource } from "../measure/poses/synthetic.js";
import type { Section } from "./table.js";

interface Kind {
  readonly what: string;
  readonly closed: boolean;
  readonly stands: (random: () => number) => readonly (readonly [azimuthDeg: number, elevationDeg: number])[];
  /** Whether two photos of the set, which stand near each other, are linked. */
  readonly linked?: (from: number, to: number) => boolean;
}

const evenly = (count: number, spanDeg = 360) =>
  Array.from({ length: count }, (_, k) => (spanDeg * k) / count);
const at = (elevationDeg: number, azimuths: readonly number[]) =>
  azimuths.map((azimuthDeg) => [azimuthDeg, elevationDeg] as const);

const KINDS: readonly Kind[] = [
  { what: "a full ring", closed: true, stands: (r) => at(-5 + 60 * r(), evenly(14 + Math.floor(30 * r()))) },
  { what: "three rings", closed: true, stands: () => [5, 28, 52].flatMap((e) => at(e, evenly(24))) },
  {
    what: "a ring that is linked past a photo without links",
    closed: true,
    stands: () => at(20, evenly(24)),
    linked: (i, j) => i !== 7 && j !== 7,
  },
  {
    what: "a full ring, unlinked at one place",
    closed: false,
    stands: () => at(20, evenly(24)),
    linked: (i, j) => !(i < 4 && i > 0 && j >= 4 && j < 12),
  },
  { what: "one photo", closed: false, stands: () => at(20, [0]) },
  { what: "three photos", closed: false, stands: (r) => at(90 * r(), evenly(3)) },
  { what: "half a ring", closed: false, stands: () => at(20, evenly(20, 180)) },
  { what: "a strip of 20 along a wall", closed: false, stands: () => at(5, evenly(20, 60)) },
  {
    what: "20 looks straight down on something flat",
    closed: false,
    stands: (r) => at(70 + 15 * r(), evenly(20)),
  },
];

const LINKED_WITHIN_DEG = 32;

export function closedRings(seeds: number): Section {
  return {
    title: "Closed",
    about: `Share of ${seeds} sets a line that are said to close, photos within ${LINKED_WITHIN_DEG} degrees of each other linked.`,
    rows: KINDS.map(({ what, closed, stands, linked = () => true }) => {
      const said = Array.from({ length: seeds }, (_, seed) => {
        const random = randomSource(seed + 1);
        const cameras = stands(random).map(
          ([azimuthDeg, elevationDeg], photo): PlacedPhoto => ({
            photo,
            azimuthDeg: wrap360(azimuthDeg + gaussian(random)),
            elevationDeg: elevationDeg + gaussian(random),
            uncertaintyDeg: 0.5,
          }),
        );
        const links = cameras.flatMap((one, i) =>
          cameras.slice(i + 1).flatMap((other, k): PhotoLink[] => {
            const j = i + 1 + k;
            return linked(i, j) && angleBetweenDirections(one, other) <= LINKED_WITHIN_DEG ? [{ i, j }] : [];
          }),
        );
        return coverageOf(cameras, {}, links).closed;
      });
      const share = said.filter(Boolean).length / seeds;
      return { what, measured: [share], bar: [closed ? 1 : 0], atLeast: closed };
    }),
  };
}
