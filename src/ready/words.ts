import { visible } from "../controls.js";
import { count, listed } from "../report/wording.js";
import type { Ready } from "./ready.js";

/** Files named in full; the rest is counted, and stands in the manifest. */
const MOST_NAMED = 12;

/** What was done, or would be, for people. */
export function readyWords({ isReady, written, report, manifest }: Ready, target: string): string {
  const { files, left, given } = manifest;
  const folder = visible(target);
  if (files.length === 0) {
    return lines([
      `NOT COPIED      ${visible(report.facts.folder)} is not ready to upload; nothing was written.`,
      `                ${missing(report)} goodgate check says where; --anyway copies what is good.`,
    ]);
  }
  const size = (files.reduce((sum, file) => sum + file.bytes, 0) / 1e6).toFixed(1);
  const counted = (deed: string) => files.filter(({ done }) => done.some((one) => one === deed)).length;
  return lines([
    `${written ? "COPIED" : "WOULD COPY"}`.padEnd(16) +
      `${count(files.length, "photo")}, ${size} MB, ${written ? "to" : "into"} ${folder}`,
    ...(isReady ? [] : [`                The set is not ready. ${missing(report)}`]),
    ...(["private tags removed", "levelled", "made smaller", "written as JPEG"] as const).flatMap((deed) =>
      counted(deed) > 0 ? [`                ${count(counted(deed), "photo")} ${deed}`] : [],
    ),
    ...(left.length > 0 ? ["", `LEFT BEHIND     ${count(left.length, "photo")}`] : []),
    ...left
      .slice(0, MOST_NAMED)
      .map(({ file, reason }) => `                ${visible(file)}: ${visible(reason)}`),
    ...(left.length > MOST_NAMED ? [`                and ${left.length - MOST_NAMED} more`] : []),
    ...(given.length > 0 ? ["", "GIVEN UP        for the number asked for"] : []),
    ...given.map((sentence) => `                ${sentence}`),
    ...(written
      ? [
          "",
          `WRITTEN BESIDE  ${folder}.manifest.json: each file, its source and hash`,
          `                ${folder}.report.json: the report`,
        ]
      : []),
  ]);
}

/** What stands between the set and a pass, one sentence. */
function missing({ counts, judgement }: Ready["report"]): string {
  const todo = [
    ...(counts.reshoot > 0 ? [`${count(counts.reshoot, "photo")} to take again`] : []),
    ...(counts.toAdd > 0 ? [`${count(counts.toAdd, "photo")} to add`] : []),
  ];
  if (todo.length > 0) return `Missing: ${listed(todo)}.`;
  return judgement.verdict === "cannot-tell"
    ? "Nobody can tell whether it is good."
    : "It has to be taken anew.";
}

function lines(text: readonly string[]): string {
  return `${text.join("\n")}\n`;
}
