/** Tables of what was said of shaken photos. */
import { LENGTHS_PX, type Shake, type ShakeKind } from "./shakes.js";
import { percentile } from "./table.js";

/** One photo of one set: what was done to it, and what came of it. */
export interface ShakeOutcome {
  readonly base: string;
  /** Absent of a sharp photo. */
  readonly shake?: Shake;
  readonly inRun?: boolean;
  readonly told: boolean;
  /** Told as shaken, not as out of focus or either. */
  readonly calledShaken: boolean;
  /** Told by the plain baseline: whole-frame variance of the Laplacian under half the set's median. */
  readonly plain: boolean;
  readonly widestPx?: number;
  readonly narrowestPx?: number;
  readonly grownPx?: number;
  /** Length that the finding states or would state, px at 1920. */
  readonly lengthPx?: number;
}

/** Told of all, with the interval that holds the true share in 95 of 100 cases. @see Wilson 1927 */
function share(outcomes: readonly ShakeOutcome[], told: (outcome: ShakeOutcome) => boolean): string {
  const all = outcomes.length;
  if (all === 0) return "-";
  const hits = outcomes.filter(told).length;
  const [z, p] = [1.96, hits / all];
  const middle = p + z ** 2 / (2 * all);
  const half = z * Math.sqrt((p * (1 - p)) / all + z ** 2 / (4 * all ** 2));
  const at = (value: number) => Math.max(0, Math.round((100 * value) / (1 + z ** 2 / all)));
  return `${hits} of ${all} (${at(middle - half)} to ${at(middle + half)} %)`;
}

const ours = ({ told }: ShakeOutcome) => told;
const plain = (outcome: ShakeOutcome) => outcome.plain;

function table(columns: readonly string[], lines: readonly (readonly string[])[]): string {
  const row = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  return [row(columns), row(columns.map((_, i) => (i === 0 ? "---" : "---:"))), ...lines.map(row)].join("\n");
}

function byLength(outcomes: readonly ShakeOutcome[]): string {
  const kinds: readonly ShakeKind[] = ["straight", "by hand", "doubled"];
  return table(
    ["px at 1920", "told", "plain baseline", ...kinds, "singly", "in runs", "called shaken"],
    LENGTHS_PX.map((length) => {
      const own = outcomes.filter(({ shake }) => shake?.lengthPx === length);
      const called = own.filter(ours);
      const few = (some: readonly ShakeOutcome[]) => `${some.filter(ours).length} of ${some.length}`;
      return [
        String(length),
        share(own, ours),
        share(own, plain),
        ...kinds.map((kind) => few(own.filter(({ shake }) => shake?.kind === kind))),
        few(own.filter(({ inRun }) => inRun === false)),
        few(own.filter(({ inRun }) => inRun === true)),
        `${called.filter(({ calledShaken }) => calledShaken).length} of ${called.length}`,
      ];
    }),
  );
}

function bySet(outcomes: readonly ShakeOutcome[]): string {
  const names = [...new Set(outcomes.map(({ base }) => base))];
  const from = (length: number) => (outcome: ShakeOutcome) => (outcome.shake?.lengthPx ?? 0) >= length;
  return table(
    ["photos of", "6 px and more", "plain baseline", "5 px", "sharp photos accused", "plain baseline"],
    names.map((name) => {
      const own = outcomes.filter(({ base }) => base === name);
      const long = own.filter(from(6));
      const five = own.filter(({ shake }) => shake?.lengthPx === 5);
      const sharp = own.filter(({ shake }) => shake === undefined);
      return [
        name,
        share(long, ours),
        share(long, plain),
        share(five, ours),
        share(sharp, ours),
        share(sharp, plain),
      ];
    }),
  );
}

function stated(outcomes: readonly ShakeOutcome[]): string {
  const names = [...new Set(outcomes.map(({ base }) => base))];
  return table(
    ["straight, px at 1920", ...names],
    LENGTHS_PX.map((length) => [
      String(length),
      ...names.map((name) => {
        const lengths = outcomes.flatMap(({ base, shake, lengthPx }) =>
          base === name && shake?.kind === "straight" && shake.lengthPx === length && lengthPx !== undefined
            ? [lengthPx]
            : [],
        );
        return [0, 0.5, 1].map((at) => percentile(lengths, at).toFixed(1)).join(" / ");
      }),
    ]),
  );
}

/** "jug, 2 MP (96 shaken, 288 sharp)", one a set of photos. */
function measured(outcomes: readonly ShakeOutcome[]): string {
  const names = [...new Set(outcomes.map(({ base }) => base))];
  return names
    .map((name) => {
      const own = outcomes.filter(({ base }) => base === name);
      const shaken = own.filter(({ shake }) => shake !== undefined).length;
      return `${name} (${shaken} shaken, ${own.length - shaken} sharp)`;
    })
    .join("; ");
}

/** What was said of photos shaken by known movements, as Markdown. */
export function renderShakes(outcomes: readonly ShakeOutcome[]): string {
  return `# Evaluation: shake

Movements of known length put into sharp photos in linear light: straight in eight directions, curved paths as a hand
walks them (speed at random, with a drift), and doubled (the shutter open at two places). Then noise as at ISO 100, JPEG of
quality 82, 90 or 95. Six photos of each set are shaken, singly or as two runs of three; the rest stays sharp, so that each
sharp photo is judged once a set. Told: soft-photo or missed-focus names it. Plain baseline: whole-frame variance of the
Laplacian under half the set's median. In brackets the 95 % interval.

Measured: ${measured(outcomes)}.

${byLength(outcomes)}

By set; a name without a size is that of a real capture, of which photos labelled fine by eye were taken.

${bySet(outcomes)}

Length stated of straight movements, px at 1920: least / median / most.

${stated(outcomes)}
`;
}
