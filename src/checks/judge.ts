import type { Facts } from "../types/facts.js";
import type { Finding, Judgement, Limits, PhotoVerdict, Severity, Skipped } from "../types/judgement.js";
import { judgedAround } from "./around.js";
import { type Cover, coveredWithout, leaveOut } from "./covered.js";
import type { Check, Draft, LimitTable } from "./define.js";
import { gap } from "./gap.js";
import { byCause } from "./skipped.js";

export interface JudgeOptions {
  /** Findings of severity "edit" fail the set too. */
  readonly strict?: boolean;
}

const RANK: Readonly<Record<Severity, number>> = { note: 0, edit: 1, "leave-out": 2, reshoot: 3 };
const VERDICTS: readonly PhotoVerdict[] = ["pass", "edit", "leave-out", "reshoot"];

/**
 * Runs every check on the facts, then settles what one check alone cannot know: a faulty photo whose view good
 * photos cover needs no reshoot, it is to be left out.
 */
export function judgeWith(
  checks: readonly Check[],
  facts: Facts,
  limits: Limits,
  { strict = false }: JudgeOptions = {},
): Judgement {
  const all: (Draft & { check: string })[] = [];
  const skipped: Skipped[] = [];
  for (const check of checks) {
    const outcome = check.judge(facts, limits[check.id] as LimitTable<string>);
    all.push(...outcome.findings.map((draft) => ({ check: check.id, ...draft })));
    skipped.push(
      ...outcome.skipped.flatMap((entry) => byCause({ check: check.id, ...entry }, check.needs ?? [], facts)),
    );
  }
  const drafts = all.filter(
    ({ check, photos }) =>
      !all.some((other) => other.insteadOf === check && photos.every((file) => other.photos.includes(file))),
  );
  const faulty = new Set(
    drafts
      .filter(({ about, severity }) => about === "photo" && RANK[severity] >= RANK["leave-out"])
      .flatMap(({ photos }) => photos),
  );
  const rule = limits[leaveOut.id] as LimitTable<keyof typeof leaveOut.limits>;
  const covered = (file: string): Cover | undefined => coveredWithout(file, facts, faulty, rule);
  const anew = drafts.some((draft) => draft.anew);
  const findings = drafts
    .map((draft) =>
      anew && draft.about !== "photo" && draft.toAdd !== undefined ? forNextTime(draft) : draft,
    )
    .map((draft) => settle(draft, faulty, covered));
  const photoVerdicts = new Map<string, PhotoVerdict>(
    [...facts.photos, ...facts.unreadable].map(({ file }) => [file, "pass"]),
  );
  for (const { about, photos, severity } of findings) {
    if (about !== "photo") continue;
    for (const file of photos) {
      const worst = Math.max(RANK[severity], VERDICTS.indexOf(photoVerdicts.get(file)!));
      photoVerdicts.set(file, VERDICTS[worst]);
    }
  }
  const failing = strict ? RANK.edit : RANK["leave-out"];
  return {
    verdict: findings.some(({ severity }) => RANK[severity] >= failing) ? "reshoot" : "pass",
    photoVerdicts,
    findings: findings.sort((a, b) => RANK[b.severity] - RANK[a.severity]),
    skipped,
    around: judgedAround(facts, limits[gap.id] as typeof gap.limits),
    limits,
    ...(strict && { strict }),
    ...(anew && { anew }),
  };
}

/** What is missing from a set that is to be taken anew: nothing to add to this one. */
function forNextTime({ toAdd: _, ...draft }: Draft & { check: string }): Draft & { check: string } {
  return {
    ...draft,
    severity: "note",
    advice: "When you take the set anew, see that these views are in it.",
  };
}

function settle(
  draft: Draft & { check: string },
  faulty: ReadonlySet<string>,
  covered: (file: string) => Cover | undefined,
): Finding {
  const { alwaysReshoot = false, anew: _, insteadOf: __, ...finding } = draft;
  // Asking for a photo to be edited and to be taken again in one breath would only confuse.
  if (
    finding.about === "photo" &&
    finding.severity === "edit" &&
    finding.photos.every((file) => faulty.has(file))
  ) {
    return { ...finding, advice: "No need to edit it: this photo is not for the upload." };
  }
  if (finding.about !== "photo" || finding.severity !== "reshoot" || alwaysReshoot) return finding;
  const covers = finding.photos.map(covered);
  if (covers.includes(undefined)) return finding;
  const by = covers.every((cover) => cover === "retake")
    ? "a good photo from the same place covers its view"
    : "good photos on both sides cover its view";
  return {
    ...finding,
    severity: "leave-out",
    advice: `Move it out of the folder and run again: ${by}, so there is no need to take it again.`,
  };
}
