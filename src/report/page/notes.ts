import type { Report } from "../../types/report.js";
import { captureOrder } from "../photo-list.js";
import { labelOf, unnamedPhotos } from "../sections.js";
import { type Html, html } from "./html.js";

/** What nobody has to act on, and what could not be judged. */
export function notes({ facts, judgement }: Report): Html {
  const order = captureOrder(facts.photos);
  const own = judgement.findings.filter(({ severity }) => severity === "note");
  return html`<section class="notes" aria-labelledby="notes">
<h2 id="notes">Good to know</h2>
${
  own.length === 0
    ? html`<p>Nothing besides.</p>`
    : html`<ul>${own.map((finding) => {
        const names = unnamedPhotos(finding, order);
        return html`<li>${finding.message} ${finding.advice}${names !== undefined && html` <span class="aside">(${names})</span>`}</li>`;
      })}</ul>`
}
${judgement.skipped.length > 0 && html`<details><summary>What could not be judged</summary><ul>${judgement.skipped.map(({ check, photos, reason }) => html`<li>${labelOf(photos, order)}: ${reason} <span class="aside">(${check})</span></li>`)}</ul></details>`}
</section>`;
}
