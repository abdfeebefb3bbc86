import { softPhoto } from "#goodgate/checks/soft-photo.js";
import { knownSubjects } from "#goodgate/checks/subject.js";
import { againstNeighbours, medianOf } from "#goodgate/measure/set/photos-around.js";
import { estimateBlur } from "#goodgate/measure/subject/blur.js";
import type { MeasuredSet } from "./measure-set.js";
import { percentile } from "./table.js";

/** The spread of good photos and of known faults in each measure that a limit stands on. */
export function renderSpreads(sets: readonly MeasuredSet[]): string {
  const groups = new Map<string, Map<string, number[]>>();
  const put = (measure: string, kind: string, value: number | undefined) => {
    if (value === undefined) return;
    const byKind = groups.get(measure) ?? new Map<string, number[]>();
    byKind.set(kind, [...(byKind.get(kind) ?? []), value]);
    groups.set(measure, byKind);
  };
  const { limits } = softPhoto;
  for (const { facts, injected, origin } of sets) {
    const sharpness = againstNeighbours(facts, "sharpnessOffsetStops");
    const blur = estimateBlur(facts, knownSubjects(facts, limits), limits.texture.value);
    const detail = againstNeighbours(facts, "detailOffsetStops");
    const exposure = againstNeighbours(facts, "exposureOffsetStops");
    const red = againstNeighbours(facts, "redOffsetStops");
    const middle = medianOf(facts, "laplacianVariance");
    for (const [i, { kind }] of injected.entries()) {
      const { measures } = facts.photos[i];
      const who = `${origin}, ${kind}`;
      put("sharpness against neighbours (stops)", who, sharpness[i]);
      put("blur (px at 1920)", who, blur[i]?.px);
      put("detail against neighbours (stops)", who, detail[i]);
      put(
        "Laplacian variance against the median (stops)",
        who,
        Math.log2(measures.laplacianVariance.value / middle!),
      );
      put(
        "exposure against neighbours (stops)",
        who,
        kind === "exposure" && exposure[i] !== undefined ? Math.abs(exposure[i]) : exposure[i],
      );
      put("red against neighbours (stops)", who, red[i]);
      put("clipped in the middle (share)", who, measures.clippedCentreRatio.value);
      put("sharpest band ratio (times)", who, measures.sharpestBandRatio?.value);
      put("noise sigma (grey levels)", who, measures.noiseSigma?.value);
    }
    for (const pair of facts.pairs) {
      const a = Number.parseInt(pair.a, 10) - 1;
      const b = Number.parseInt(pair.b, 10) - 1;
      if (injected[a].kind !== "good" || injected[b].kind !== "good") continue;
      put("shift of good pairs (share of long edge)", `${origin}, ${b - a} apart`, pair.shiftRatio);
      put("support of good pairs (share)", `${origin}, ${b - a} apart`, pair.supportRatio);
      put("verified matches of good pairs", `${origin}, ${b - a} apart`, pair.verifiedMatches);
      put("exposure drift of good pairs (stops)", `${origin}, ${b - a} apart`, pair.exposureDriftStops);
    }
  }
  const lines = ["# Spread behind the limits", ""];
  for (const [measure, byKind] of groups) {
    lines.push(
      `## ${measure}`,
      "",
      "| photos | n | min | 1 % | 5 % | median | 95 % | 99 % | max |",
      "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |",
    );
    for (const [who, list] of [...byKind].sort(([p], [q]) => (p < q ? -1 : 1))) {
      if (list.length < 8) continue;
      const cells = [0, 0.01, 0.05, 0.5, 0.95, 0.99, 1].map((share) =>
        percentile(list, share).toPrecision(3),
      );
      lines.push(`| ${who} | ${list.length} | ${cells.join(" | ")} |`);
    }
    lines.push("");
  }
  return lines.join("\n");
}
