import type { Facts } from "../types/facts.js";
import type { Judgement } from "../types/judgement.js";
import type { Report } from "../types/report.js";
import { type Candidate, type ChooseOptions, choose } from "./choose.js";
import { gapsIn } from "./gaps.js";

export interface PlanOptions {
  /** Most photos that go up. */
  readonly most?: number | undefined;
  /** Most bytes that go up. */
  readonly mostBytes?: number | undefined;
}

/** A photo that stays behind, and why, one clause. */
export interface LeftBehind {
  readonly file: string;
  readonly reason: string;
}

export interface Plan {
  /** Files that go up, in capture order. */
  readonly files: readonly string[];
  readonly left: readonly LeftBehind[];
  /** What the number asked for cost, sentences; none where only what was redundant went. */
  readonly given: readonly string[];
}

/**
 * Which photos go up: those that are good or only to be edited, one of each group of twins, and of more than were asked
 * for the best.
 *
 * @param bytesOf size of each file
 */
export function planUpload(
  report: Report,
  bytesOf: (file: string) => number,
  { most = Number.POSITIVE_INFINITY, mostBytes = Number.POSITIVE_INFINITY }: PlanOptions,
): Plan {
  const { facts, judgement } = report;
  const left: LeftBehind[] = notGood(facts, judgement);
  const gone = new Set(left.map(({ file }) => file));
  for (const twin of twins(facts, judgement, gone)) {
    left.push(twin);
    gone.add(twin.file);
  }
  const files = facts.photos.map(({ file }) => file).filter((file) => !gone.has(file));
  const size = files.reduce((sum, file) => sum + bytesOf(file), 0);
  if (files.length <= most && size <= mostBytes) return { files, left, given: [] };
  const { candidates, options } = candidatesOf(report, files, bytesOf);
  const { kept, given } = choose(candidates, { ...options, most, mostBytes });
  const stays = new Set(kept.map((place) => files[place]));
  return {
    files: files.filter((file) => stays.has(file)),
    left: [
      ...left,
      ...files
        .filter((file) => !stays.has(file))
        .map((file) => ({ file, reason: "others show what it shows, and fewer were asked for" })),
    ],
    given: sentencesOf(given),
  };
}

function notGood(facts: Facts, { photoVerdicts, findings }: Judgement): LeftBehind[] {
  const unread = [...facts.unreadable, ...facts.unsupported].map((one) => ({
    file: one.file,
    reason: "reason" in one ? `it cannot be read: ${one.reason}` : "a raw photo without a preview inside",
  }));
  const faulty = facts.photos.flatMap(({ file }) => {
    const verdict = photoVerdicts.get(file);
    if (verdict !== "reshoot" && verdict !== "leave-out") return [];
    const worst = findings.find(
      ({ about, photos, severity }) => about === "photo" && severity === verdict && photos.includes(file),
    );
    return [{ file, reason: worst?.message ?? verdict }];
  });
  return [...unread, ...faulty];
}

/** Of each group of twins all but the sharpest. */
function twins(facts: Facts, { findings }: Judgement, gone: ReadonlySet<string>): LeftBehind[] {
  const quality = new Map(facts.photos.map((photo) => [photo.file, qualityOf(photo)]));
  return findings
    .filter(({ check }) => check === "twin-photos")
    .flatMap(({ photos }) => {
      const there = photos.filter((file) => !gone.has(file));
      const best = there.reduce<string | undefined>(
        (a, b) => (a === undefined || quality.get(b)! > quality.get(a)! ? b : a),
        undefined,
      );
      return there.filter((file) => file !== best).map((file) => ({ file, reason: `a twin of ${best}` }));
    });
}

/** How good a photo is beside the others, stops: sharper is better, off in exposure is worse. */
function qualityOf({ measures }: Facts["photos"][number]): number {
  const sharper = measures.sharpnessOffsetStops?.value ?? 0;
  const off = Math.abs(measures.exposureOffsetStops?.value ?? 0);
  return sharper - off / 2;
}

function candidatesOf(
  { facts, judgement }: Report,
  files: readonly string[],
  bytesOf: (file: string) => number,
): { candidates: readonly Candidate[]; options: Pick<ChooseOptions, "opensGap" | "links"> } {
  // Between parts there is no known angle: directions of the largest alone can be compared.
  const [part] = judgement.around.placed;
  const cameras = new Map(part?.cameras.map((camera) => [camera.file, camera]));
  const photos = new Map(facts.photos.map((photo) => [photo.file, photo]));
  const candidates = files.map((file) => ({
    direction: cameras.get(file),
    qualityStops: qualityOf(photos.get(file)!),
    bytes: bytesOf(file),
  }));
  const place = new Map(files.map((file, k) => [file, k]));
  const links = facts.pairs
    .filter(({ overlapRatio }) => overlapRatio !== undefined)
    .flatMap(({ a, b }) => {
      const [i, j] = [place.get(a), place.get(b)];
      return i === undefined || j === undefined ? [] : [[i, j] as const];
    });
  const gaps = (list: readonly number[]) =>
    gapsIn(
      list.flatMap((k) => candidates[k].direction ?? []),
      facts.around.wantedSpanDeg,
      judgement.limits,
    );
  const atFirst = gaps([...candidates.keys()]);
  return { candidates, options: { links, opensGap: (list) => gaps(list) > atFirst } };
}

function sentencesOf({ directions, gap, apart }: ReturnType<typeof choose>["given"]): string[] {
  return [
    ...(directions > 0
      ? ["Some directions are seen in fewer than three photos now; a larger number would keep them."]
      : []),
    ...(gap ? ["A gap opens that the whole set does not have."] : []),
    ...(apart ? ["The photos no longer hang together as one whole."] : []),
  ];
}
