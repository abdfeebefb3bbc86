import { countsOf } from "#goodgate/report/counts.js";
import { renderTerminal } from "#goodgate/report/terminal.js";
import type { Facts } from "#goodgate/types/facts.js";
import type { Judgement } from "#goodgate/types/judgement.js";

/** What stands beside the verdict on a very wide screen: the first sentence one reads. */
export function firstLine(facts: Facts, judgement: Judgement): string {
  const report = {
    tool: { name: "goodgate", version: "0" },
    facts,
    judgement,
    counts: countsOf(facts, judgement),
  };
  const lines = renderTerminal(report, { columns: 120, colour: false }).split("\n");
  const block = lines.slice(0, lines.indexOf("")).map((line) => line.slice(10));
  return block.join(" ").replaceAll(/\s+/g, " ").trim();
}
