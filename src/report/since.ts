import { visible } from "../controls.js";
import type { Report } from "../types/report.js";
import type { Asked, SinceLastRun } from "../types/since.js";
import { photoList } from "./photo-list.js";

/** What a report asks for, of photos and of places: what the next run needs to know to say what was mended. */
export function askedBy({ judgement }: Report): readonly Asked[] {
  const asked = new Map<string, { about: readonly string[]; checks: Set<string>; out: boolean }>();
  for (const { check, severity, about, photos } of judgement.findings) {
    if (severity === "note") continue;
    const places = about === "between" ? [photos] : about === "photo" ? photos.map((file) => [file]) : [];
    for (const place of places) {
      const key = JSON.stringify(place);
      const known = asked.get(key) ?? { about: place, checks: new Set(), out: false };
      known.checks.add(check);
      known.out ||= severity === "leave-out";
      asked.set(key, known);
    }
  }
  return [...asked.values()].map(({ checks, ...rest }) => ({ ...rest, checks: [...checks] }));
}

/**
 * What has become of what an earlier run asked for. Nothing is called mended that nobody judged, or that is gone though it was
 * to be taken again or edited.
 *
 * @param before what that run asked for
 */
export function changesSince(before: readonly Asked[], report: Report): SinceLastRun {
  const now = askedBy(report);
  const there = new Set([...report.facts.photos, ...report.facts.unreadable].map(({ file }) => file));
  return {
    mended: before.filter((one) => {
      if (now.some((other) => isSame(one, other))) return false;
      if (one.about.length === 1 && !there.has(one.about[0]!)) return one.out;
      return !one.checks.some((check) => isOpen(check, one.about, report));
    }),
    added: now.filter((one) => !before.some((other) => isSame(one, other))),
    left: now.filter((one) => before.some((other) => isSame(one, other))),
  };
}

/** The same photo; of places, those that share an end: a gap of which part was filled is still there. */
function isSame(one: Asked, other: Asked): boolean {
  return one.about.length === other.about.length && one.about.some((file) => other.about.includes(file));
}

/** Whether a check could not say anything of these photos. */
function isOpen(check: string, files: readonly string[], { judgement }: Report): boolean {
  return judgement.skipped.some(
    (skipped) =>
      skipped.check === check &&
      (skipped.photos.length === 0 || files.some((file) => skipped.photos.includes(file))),
  );
}

/** "Since the last run: mended jug_012.jpg; new jug_013.jpg; 3 left." Undefined where nothing has changed. */
export function sinceSentence(
  { mended, added, left }: SinceLastRun,
  order: ReadonlyMap<string, number>,
): string | undefined {
  if (mended.length + added.length === 0) return undefined;
  const parts = [
    ...(mended.length > 0 ? [`mended ${namesOf(mended, order)}`] : []),
    ...(added.length > 0 ? [`new ${namesOf(added, order)}`] : []),
    `${left.length === 0 ? "nothing" : left.length} left`,
  ];
  return `Since the last run: ${parts.join("; ")}.`;
}

/** Names told one by one; of more, how many more there are. */
const MOST_NAMES = 3;

function namesOf(asked: readonly Asked[], order: ReadonlyMap<string, number>): string {
  const photos = asked.filter(({ about }) => about.length === 1).flatMap(({ about }) => about);
  const places = asked.filter(({ about }) => about.length > 1);
  return [
    ...(photos.length > 0 ? [photoList(photos, order, MOST_NAMES)] : []),
    ...places.map(({ about }) => `the gap between ${about.map(visible).join(" and ")}`),
  ].join(", ");
}
