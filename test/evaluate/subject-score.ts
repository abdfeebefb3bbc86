import { judge } from "#goodgate/checks/index.js";
import { softPhoto } from "#goodgate/checks/soft-photo.js";
import { knownSubjects } from "#goodgate/checks/subject.js";
import { subjectBlurs } from "#goodgate/measure/subject/blur.js";
import { regionOf } from "#goodgate/measure/subject/region.js";
import type { Subject } from "#goodgate/measure/subject/subject.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { Finding } from "#goodgate/types/judgement.js";
import type { SubjectSet } from "./subject-sets.js";
import { percentile, type Row } from "./table.js";

/** One set with what was made of it. */
export interface JudgedSet {
  readonly set: SubjectSet;
  readonly facts: Facts;
  readonly regions: Subject["views"];
  readonly findings: readonly Finding[];
}

export function judged(set: SubjectSet, facts: Facts, subject: Subject): JudgedSet {
  return { set, facts, regions: subject.views, findings: judge(facts).findings };
}

/** Intersection over union of the cells called the subject's and the true share of each cell. */
export function overlapOf(share: ArrayLike<number>, truth: ArrayLike<number>): number {
  let common = 0;
  let either = 0;
  for (let i = 0; i < share.length; i++) {
    const own = share[i] >= 0.5 ? 1 : 0;
    common += Math.min(own, truth[i]);
    either += Math.max(own, truth[i]);
  }
  return either === 0 ? 1 : common / either;
}

const plain = ({ set }: JudgedSet): boolean => set.options.material === "plaster";
/** A cut is a note, and counts all the same. */
const severe = ({ check, severity }: Finding): boolean =>
  severity === "reshoot" || severity === "leave-out" || check === "cut-subject";

/** Faults put into photos, with the check that has to name each. */
const ANSWERS = { cut: "cut-subject", small: "small-subject", background: "missed-focus" } as const;

function faultsOf({ set }: JudgedSet, photo: number): string[] {
  return set.options.faults
    .filter((placed) => placed.photo === photo)
    .map(({ fault }) => (fault.kind === "focus-plane" ? fault.plane : fault.kind));
}

/** Truth decides what a good photo is: an unsteady hand cuts a tightly framed prop by itself. */
function isGood(one: JudgedSet, photo: number): boolean {
  const { cutRatio, sideRatio } = one.set.photos[photo].truth;
  return faultsOf(one, photo).length === 0 && cutRatio < 0.005 && sideRatio > 0.33;
}

const named = (one: JudgedSet, photo: number, wanted: (finding: Finding) => boolean): boolean =>
  one.findings.some(
    (finding) =>
      finding.about === "photo" && finding.photos.includes(one.facts.photos[photo].file) && wanted(finding),
  );

/** Every bar of the subject's region, framing, focus and texture, with what was measured. */
export function subjectRows(sets: readonly JudgedSet[]): Row[] {
  const photos = sets.flatMap((one) => one.set.photos.map((_, photo) => ({ one, photo })));
  const overlaps = (wanted: (one: JudgedSet) => boolean): number[] =>
    photos
      .filter(({ one, photo }) => wanted(one) && !faultsOf(one, photo).includes("background"))
      .map(({ one, photo }) =>
        overlapOf(regionOf(one.regions[photo].region).share, one.set.photos[photo].trueShare),
      );
  const textured = overlaps((one) => !plain(one));
  const bare = overlaps(plain);
  const rows: Row[] = [
    {
      what: `region against the true mask, textured props (${textured.length} photos): intersection over union, median / 10th percentile`,
      measured: [percentile(textured, 0.5), percentile(textured, 0.1)],
      bar: [0.7, 0.5],
      atLeast: true,
    },
    {
      what: `the same, plain props (${bare.length} photos): median`,
      measured: [percentile(bare, 0.5)],
      bar: [0.5],
      atLeast: true,
    },
  ];
  for (const [fault, check] of Object.entries(ANSWERS)) {
    const faulty = photos.filter(({ one, photo }) => faultsOf(one, photo).includes(fault));
    const caught = faulty.filter(({ one, photo }) =>
      named(one, photo, (finding) => finding.check === check && severe(finding)),
    );
    rows.push({
      what: `${check}: caught of ${faulty.length}`,
      measured: [caught.length / faulty.length],
      bar: [0.9],
      atLeast: true,
    });
  }
  const good = photos.filter(({ one, photo }) => isGood(one, photo));
  for (const check of Object.values(ANSWERS)) {
    const accused = good.filter(({ one, photo }) => named(one, photo, (finding) => finding.check === check));
    rows.push({
      what: `${check}: false alarms on ${good.length} good photos`,
      measured: [accused.length / good.length],
      bar: [0.02],
    });
  }
  const plainSets = sets.filter(plain);
  const texturedSets = sets.filter((one) => !plain(one));
  const saysPlain = ({ findings }: JudgedSet): boolean =>
    findings.some(({ check }) => check === "plain-subject");
  rows.push(
    {
      what: `plain-subject: caught of ${plainSets.length} sets`,
      measured: [plainSets.filter(saysPlain).length / plainSets.length],
      bar: [0.9],
      atLeast: true,
    },
    {
      what: `plain-subject: false alarms on ${texturedSets.length} sets of textured props`,
      measured: [texturedSets.filter(saysPlain).length / texturedSets.length],
      bar: [0.02],
    },
  );
  const softBackground = photos.filter(({ one, photo }) => faultsOf(one, photo).includes("subject"));
  const windows = good.filter(
    ({ one, photo }) =>
      one.set.options.window !== undefined && one.facts.photos[photo].measures.clippedAllRatio.value > 0.02,
  );
  for (const [what, behind] of [
    ["background out of focus", softBackground],
    ["window burnt out behind the prop", windows],
  ] as const) {
    rows.push({
      what: `${what}: told to reshoot or leave out, of ${behind.length}`,
      measured: [behind.filter(({ one, photo }) => named(one, photo, severe)).length / behind.length],
      bar: [0],
    });
  }
  return rows;
}

/** What was missed and who was accused, for whoever sets the limits. */
export function subjectMisses(sets: readonly JudgedSet[]): string[] {
  return sets.flatMap((one) =>
    one.set.photos.flatMap((_, photo) => {
      const said = one.findings.filter(
        (finding) => finding.about === "photo" && finding.photos.includes(one.facts.photos[photo].file),
      );
      const words = said
        .map(({ check, measured }) => `${check} ${measured?.value.toFixed(2) ?? ""}`)
        .join(", ");
      const faults = faultsOf(one, photo);
      const right = faults.every(
        (fault) =>
          !(fault in ANSWERS) || said.some(({ check }) => check === ANSWERS[fault as keyof typeof ANSWERS]),
      );
      const accused = (isGood(one, photo) || faults.includes("subject")) && said.some(severe);
      if (right && !accused) return [];
      return [`${one.set.name}, photo ${photo}: ${faults.join(", ") || "good"}; said: ${words || "nothing"}`];
    }),
  );
}

const BLUR = "blur, px at 1920";

/** Lowest, middle and highest values of the subject's measures, faulty and good: what the limits stand on. */
export function subjectSpreads(sets: readonly JudgedSet[]): string[] {
  const groups = new Map<string, Map<string, number[]>>();
  const { limits } = softPhoto;
  for (const one of sets) {
    const blurs = subjectBlurs(one.facts, knownSubjects(one.facts, limits), limits.texture.value);
    for (const [photo, { subject }] of one.facts.photos.entries()) {
      const kind = `${plain(one) ? "plain, " : ""}${faultsOf(one, photo).join(", ") || (isGood(one, photo) ? "good" : "at the edge")}`;
      const group = groups.get(kind) ?? new Map<string, number[]>();
      groups.set(kind, group);
      const add = (name: string, value: number) => group.set(name, [...(group.get(name) ?? []), value]);
      for (const [name, measure] of Object.entries(subject?.measures ?? {})) add(name, measure.value);
      const blur = blurs[photo];
      if (blur !== undefined) add(BLUR, blur.px);
    }
  }
  const lines = [
    "| photos | measure | lowest | 2 % | median | 98 % | highest |",
    "| --- | --- | ---: | ---: | ---: | ---: | ---: |",
  ];
  for (const [kind, group] of groups) {
    for (const name of [
      "confidence",
      "cutRatio",
      "sideRatio",
      "clippedRatio",
      "bareRatio",
      "textureRatio",
      BLUR,
    ]) {
      const values = group.get(name) ?? [];
      if (values.length === 0) continue;
      const figures = [0, 0.02, 0.5, 0.98, 1].map((share) => percentile(values, share).toFixed(3));
      lines.push(`| ${kind} (${values.length}) | ${name} | ${figures.join(" | ")} |`);
    }
  }
  return lines;
}
