import type { Facts } from "../types/facts.js";
import type {
  Finding,
  JudgedRequirement,
  Judgement,
  Limits,
  PhotoVerdict,
  RequirementId,
  SetVerdict,
  Severity,
  Skipped,
} from "../types/judgement.js";
import { judgedAround } from "./around.js";
import { type Cover, coveredWithout, leaveOut } from "./covered.js";
import type { Check, Draft, LimitTable } from "./define.js";
import { unknownOf } from "./evidence.js";
import { gap } from "./gap.js";
import { requirements } from "./requirements.js";
import { byCause } from "./skipped.js";
import { without } from "./staying.js";

export interface JudgeOptions {
  /** Findings of severity "edit" fail the set too. */
  readonly strict?: boolean;
}

type Drafted = Draft & { readonly check: string };

const RANK: Readonly<Record<Severity, number>> = { note: 0, edit: 1, "leave-out": 2, reshoot: 3 };
const VERDICTS: readonly PhotoVerdict[] = ["pass", "edit", "leave-out", "reshoot"];

/**
 * Runs every check on the facts, then settles what one check alone cannot know: what the set as a whole is, which faulty
 * photos need no reshoot because good ones cover their view, and whether each requirement is known to be met.
 */
export function judgeWith(
  checks: readonly Check[],
  facts: Facts,
  limits: Limits,
  { strict = false }: JudgeOptions = {},
): Judgement {
  const { drafts: all, skipped } = runChecks(checks, facts, limits);
  const drafts = ofTheWhole(gathered(all, checks, facts), checks);
  const faulty = photosOf(drafts, "leave-out");
  const rule = limits[leaveOut.id] as LimitTable<keyof typeof leaveOut.limits>;
  const covered = (file: string): Cover | undefined => coveredWithout(file, facts, faulty, rule);
  const anew = drafts.some((draft) => draft.anew);
  const settled = drafts.map((draft) => settle(draft, covered));
  const going = photosOf(settled, "leave-out");
  const findings = settled.flatMap((finding) => onlyStaying(finding, going));
  const failing = strict ? RANK.edit : RANK["leave-out"];
  const judged = requirements.map(({ id }) =>
    judgedRequirement(id, checks, findings, failing, () =>
      unknownOf(id, without(facts, going), skipped, limits),
    ),
  );
  const first = drafts.find(({ whatItIs, severity }) => whatItIs !== undefined && severity !== "note");
  return {
    verdict: verdictOf(findings, judged, failing),
    requirements: judged,
    ...(first && {
      whatItIs: {
        check: first.check,
        message: first.message,
        advice: first.advice,
        ...(first.groups && { groups: first.groups }),
      },
    }),
    photoVerdicts: photoVerdicts(facts, findings),
    findings: findings.sort((a, b) => RANK[b.severity] - RANK[a.severity]),
    skipped,
    around: judgedAround(facts, limits[gap.id] as typeof gap.limits),
    limits,
    ...(strict && { strict }),
    ...(anew && { anew }),
  };
}

/** What all checks say, the photos of something else left out of what the others are judged by. */
function runChecks(
  checks: readonly Check[],
  facts: Facts,
  limits: Limits,
): { drafts: Drafted[]; skipped: Skipped[] } {
  const drafts: Drafted[] = [];
  const skipped: Skipped[] = [];
  const run = (check: Check, on: Facts): readonly Draft[] => {
    const outcome = check.judge(on, limits[check.id] as LimitTable<string>);
    skipped.push(
      ...outcome.skipped.flatMap((entry) => byCause({ check: check.id, ...entry }, check.needs ?? [], on)),
    );
    return outcome.findings;
  };
  const removing = checks
    .filter(({ removes }) => removes)
    .map((check) => [check, run(check, facts)] as const);
  const removed = new Set(removing.flatMap(([, findings]) => findings.flatMap(({ photos }) => photos)));
  const rest = without(facts, removed);
  const byCheck = new Map<Check, readonly Draft[]>(removing);
  for (const check of checks) {
    const findings = byCheck.get(check) ?? run(check, rest);
    drafts.push(...findings.map((draft) => ({ check: check.id, ...draft })));
  }
  return { drafts, skipped };
}

/** Where one check wants more than half of the photos taken again, the set is spoken of instead. */
function gathered(drafts: readonly Drafted[], checks: readonly Check[], { photos }: Facts): Drafted[] {
  const explained = drafts.filter(
    ({ check, photos: own }) =>
      !drafts.some((other) => other.insteadOf === check && own.every((file) => other.photos.includes(file))),
  );
  const whole = checks.flatMap((check): Drafted[] => {
    if (check.inMost === undefined) return [];
    const own = explained.filter((draft) => draft.check === check.id && draft.severity === "reshoot");
    const files = photosOf(own, "reshoot");
    if (2 * files.size <= photos.length) return [];
    const { measured, limit } = own[Math.floor(own.length / 2)];
    return [
      {
        check: check.id,
        about: "set",
        severity: "reshoot",
        whatItIs: "alone",
        anew: true,
        photos: [...files],
        ...(measured && { measured }),
        ...(limit && { limit }),
        message: check.inMost.message(files.size, photos.length),
        advice: check.inMost.advice,
      },
    ];
  });
  const spoken = new Set(whole.map(({ check }) => check));
  // In the checks' own order, by which the first that says what the set is comes first.
  return checks.flatMap(({ id }) =>
    spoken.has(id)
      ? whole.filter(({ check }) => check === id)
      : explained.filter(({ check }) => check === id),
  );
}

/**
 * Where the set as a whole is to be taken again or sorted first, what its photos lack one by one is of no use to know; what
 * is said of the folder's files stands whatever they show.
 */
function ofTheWhole(drafts: readonly Drafted[], checks: readonly Check[]): Drafted[] {
  const alone = drafts.find(({ whatItIs }) => whatItIs === "alone");
  if (alone === undefined) return [...drafts];
  const ofFolder = new Set(checks.filter(({ serves }) => serves === "whole-folder").map(({ id }) => id));
  return drafts.filter((draft) => draft === alone || ofFolder.has(draft.check));
}

function photosOf(findings: readonly Draft[], least: Severity): Set<string> {
  return new Set(
    findings
      .filter(({ about, severity }) => about === "photo" && RANK[severity] >= RANK[least])
      .flatMap(({ photos }) => photos),
  );
}

function settle(draft: Drafted, covered: (file: string) => Cover | undefined): Finding {
  const { alwaysReshoot = false, usable = false, anew: _, insteadOf: __, whatItIs: ___, ...finding } = draft;
  if (finding.about !== "photo" || finding.severity !== "reshoot" || alwaysReshoot) return finding;
  const covers = finding.photos.map(covered);
  if (covers.includes(undefined))
    return usable
      ? {
          ...finding,
          severity: "note",
          advice:
            "No better photo shows this view: keep it. While the set still stands, one taken anew beside it would give a finer model.",
        }
      : finding;
  const by = covers.every((cover) => cover === "retake")
    ? "a good photo shows the same view from there"
    : "good photos on both sides show the same view";
  return {
    ...finding,
    severity: "leave-out",
    advice: `Move it out of the folder and run again: ${by}, so there is no need for another.`,
  };
}

/** Notes and edits are of no use for photos that go: they are taken out of them, and what is then empty is dropped. */
function onlyStaying(finding: Finding, going: ReadonlySet<string>): Finding[] {
  const { severity, photos } = finding;
  if (RANK[severity] >= RANK["leave-out"] || photos.length === 0) return [finding];
  const staying = photos.filter((file) => !going.has(file));
  if (staying.length === photos.length) return [finding];
  // What is said of one or two photos is said of those and no others.
  return photos.length <= 2 || staying.length < 2 ? [] : [{ ...finding, photos: staying }];
}

function judgedRequirement(
  id: RequirementId,
  checks: readonly Check[],
  findings: readonly Finding[],
  failing: number,
  unknown: () => { readonly reason: string; readonly wayOut: string } | undefined,
): JudgedRequirement {
  const serving = new Set(checks.filter(({ serves }) => serves === id).map((check) => check.id));
  if (findings.some(({ check, severity }) => serving.has(check) && RANK[severity] >= failing))
    return { id, state: "not met" };
  const why = unknown();
  return why === undefined ? { id, state: "met" } : { id, state: "not known", ...why };
}

/** What is to be shot comes before what cannot be told, and that before what is only to be moved. */
function verdictOf(
  findings: readonly Finding[],
  judged: readonly JudgedRequirement[],
  failing: number,
): SetVerdict {
  if (findings.some(({ severity }) => severity === "reshoot")) return "reshoot";
  if (judged.some(({ state }) => state === "not known")) return "cannot-tell";
  return findings.some(({ severity }) => RANK[severity] >= failing) ? "tidy" : "pass";
}

function photoVerdicts(facts: Facts, findings: readonly Finding[]): Map<string, PhotoVerdict> {
  const verdicts = new Map<string, PhotoVerdict>(
    [...facts.photos, ...facts.unreadable].map(({ file }) => [file, "pass"]),
  );
  for (const { about, photos, severity } of findings) {
    if (about !== "photo") continue;
    for (const file of photos) {
      const worst = Math.max(RANK[severity], VERDICTS.indexOf(verdicts.get(file)!));
      verdicts.set(file, VERDICTS[worst]);
    }
  }
  return verdicts;
}
