import { judge } from "#goodgate/checks/index.js";
import type { Finding } from "#goodgate/types/judgement.js";
import type { MeasuredSet } from "./measure-set.js";
import type { Injected } from "./sets.js";

/** The check that has to name a photo with each fault, and the severities that count as caught. */
const ANSWERS: Readonly<
  Record<Exclude<Injected["kind"], "good">, { checks: readonly string[]; severities: readonly string[] }>
> = {
  defocus: { checks: ["soft-photo"], severities: ["reshoot", "leave-out"] },
  motion: { checks: ["soft-photo"], severities: ["reshoot", "leave-out"] },
  exposure: {
    // A step that burns the subject out is no longer one for an editor, and is named as that.
    checks: ["exposure-step", "blown-photo"],
    severities: ["edit", "reshoot", "leave-out"],
  },
  blown: { checks: ["blown-photo"], severities: ["reshoot", "leave-out"] },
  stray: { checks: ["stray-photo"], severities: ["reshoot", "leave-out"] },
};

interface Tally {
  caught: number;
  of: number;
  baseline: number;
}

/** How the judgement of a set compares with what was put in. */
export interface Score {
  readonly faults: Map<string, Tally>;
  good: number;
  falseReshoots: number;
  falseEdits: number;
  baselineFalse: number;
  /** Rendered sets, which lack nothing, that are told of something wrong between photos or with the whole set. */
  falseSets: number;
  readonly misses: string[];
  readonly falseAlarms: string[];
}

const BARS: Readonly<Record<string, number>> = {
  "blur, single": 0.95,
  "blur, in runs of 3-5": 0.95,
  "exposure step >= 2/3 stop": 0.98,
  "blown subject": 0.98,
  stray: 1,
};

function kindName({ kind, inRun }: Injected): string {
  if (kind === "defocus" || kind === "motion") return inRun ? "blur, in runs of 3-5" : "blur, single";
  if (kind === "exposure") return "exposure step >= 2/3 stop";
  return kind === "blown" ? "blown subject" : kind;
}

export function scoreSets(sets: readonly MeasuredSet[]): Score {
  const score: Score = {
    faults: new Map(Object.keys(BARS).map((name) => [name, { caught: 0, of: 0, baseline: 0 }])),
    good: 0,
    falseReshoots: 0,
    falseEdits: 0,
    baselineFalse: 0,
    falseSets: 0,
    misses: [],
    falseAlarms: [],
  };
  for (const { name, origin, facts, injected } of sets) {
    const { findings } = judge(facts);
    const place = new Map(facts.photos.map(({ file }, i) => [file, i]));
    // A stray stands where a view of the subject is missing.
    const byStray = (file: string) =>
      [-1, 0, 1].some((step) => injected[place.get(file)! + step]?.kind === "stray");
    const ofSet = findings.filter(
      ({ about, severity, photos }) => about !== "photo" && severity === "reshoot" && !photos.some(byStray),
    );
    // A window that walks over a flat picture does not go around it.
    if (origin === "rendered" && ofSet.length > 0) score.falseSets++;
    for (const finding of origin === "rendered" ? ofSet : [])
      score.falseAlarms.push(`${name}: ${said(finding)}: ${finding.message}`);
    const baseline = plainBaseline(facts.photos.map(({ measures }) => measures));
    for (const [i, fault] of injected.entries()) {
      const { file } = facts.photos[i];
      const about = findings.filter((finding) => finding.about === "photo" && finding.photos.includes(file));
      if (fault.kind === "good") {
        score.good++;
        const worst = about.find(({ severity }) => severity === "reshoot" || severity === "leave-out");
        if (worst) {
          score.falseReshoots++;
          score.falseAlarms.push(`${name} ${file} ${said(worst)}`);
        } else if (about.some(({ severity }) => severity === "edit")) {
          score.falseEdits++;
          score.falseAlarms.push(
            `${name} ${file} ${said(about.find(({ severity }) => severity === "edit")!)}`,
          );
        }
        if (baseline[i].soft || baseline[i].exposed) score.baselineFalse++;
        continue;
      }
      const tally = score.faults.get(kindName(fault))!;
      tally.of++;
      const { checks, severities } = ANSWERS[fault.kind];
      if (about.some((finding) => checks.includes(finding.check) && severities.includes(finding.severity)))
        tally.caught++;
      else
        score.misses.push(
          `${name} ${file} ${fault.kind} ${fault.size?.toFixed(2) ?? ""} ${about.map(said).join("; ")}`,
        );
      const blur = fault.kind === "defocus" || fault.kind === "motion";
      if (blur ? baseline[i].soft : fault.kind !== "stray" && baseline[i].exposed) tally.baseline++;
    }
  }
  return score;
}

function said({ check, severity, measured }: Finding): string {
  return `${check} ${severity} ${measured?.value.toFixed(2) ?? ""}`;
}

/** Whole-frame Laplacian variance under half the set's median; mean brightness 0.35 stop off both neighbours. */
function plainBaseline(
  photos: readonly {
    readonly laplacianVariance: { value: number };
    readonly meanLuminanceStops: { value: number };
  }[],
): { soft: boolean; exposed: boolean }[] {
  const sorted = photos.map((p) => p.laplacianVariance.value).sort((a, b) => a - b);
  const middle = sorted[sorted.length >> 1];
  const light = photos.map((p) => p.meanLuminanceStops.value);
  return photos.map((photo, i) => {
    const steps = [light[i - 1], light[i + 1]].filter((v) => v !== undefined).map((v) => light[i] - v);
    return {
      soft: photo.laplacianVariance.value < middle / 2,
      exposed: steps.every((step) => step > 0.35) || steps.every((step) => step < -0.35),
    };
  });
}

const percent = (part: number, whole: number) =>
  whole === 0 ? "-" : `${((100 * part) / whole).toFixed(1)} %`;

export function renderTable(sets: readonly MeasuredSet[]): string {
  const lines: string[] = [
    "# Evaluation",
    "",
    "Printed by `npm run evaluate -- --save`; see test/evaluate/. Faults are put in at random (fixed seeds) in linear",
    "light, then noise, JPEG and the whole measuring chain follow. Blur is Gaussian of sigma 2 to 4 px or motion of 9 to",
    "18 px, both at a long edge of 1920 px. Caught: named by the right check with a severity above `note`; blur, blown",
    "and stray with `reshoot` or `leave-out`. Baseline: whole-frame variance of the Laplacian under half the set's",
    "median; mean brightness 0.35 stop off both neighbours.",
    "",
  ];
  for (const origin of ["all", "rendered", "warped"] as const) {
    const chosen = sets.filter((set) => origin === "all" || set.origin === origin);
    if (chosen.length === 0) continue;
    const score = scoreSets(chosen);
    const photos = chosen.reduce((sum, set) => sum + set.injected.length, 0);
    const faulty = [...score.faults.values()].reduce((sum, { of }) => sum + of, 0);
    lines.push(
      `## ${origin === "all" ? "All sets" : origin === "rendered" ? "Rendered sets" : "Warped real photographs"}: ${chosen.length} sets, ${photos} photos, ${faulty} faulty`,
      "",
      "| fault | photos | caught | bar | baseline |",
      "| --- | ---: | ---: | ---: | ---: |",
    );
    for (const [name, { caught, of, baseline }] of score.faults) {
      lines.push(
        `| ${name} | ${of} | ${percent(caught, of)} | >= ${100 * BARS[name]} % | ${name === "stray" ? "-" : percent(baseline, of)} |`,
      );
    }
    lines.push(
      `| good photos told to reshoot or leave out | ${score.good} | ${percent(score.falseReshoots, score.good)} | <= 1 % | ${percent(score.baselineFalse, score.good)} |`,
      ...(origin === "rendered"
        ? [
            `| sets of three whole rings told that views are missing, or failed as a whole | ${chosen.length} | ${percent(score.falseSets, chosen.length)} | - | - |`,
          ]
        : []),
      `| good photos told to edit | ${score.good} | ${percent(score.falseEdits, score.good)} | - | - |`,
      "",
    );
    if (origin === "all") {
      lines.push("Missed:", "", ...score.misses.map((miss) => `- ${miss}`), "");
      lines.push("False alarms:", "", ...score.falseAlarms.map((alarm) => `- ${alarm}`), "");
    }
  }
  return lines.join("\n");
}
