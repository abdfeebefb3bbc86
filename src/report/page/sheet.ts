import type { PhotoVerdict } from "../../types/judgement.js";
import type { Report } from "../../types/report.js";
import { reasonOf } from "../to-do.js";
import { type Html, html } from "./html.js";
import type { Pictures } from "./pictures.js";
import { DEEDS, MARKS, mainReason, reasonsOf } from "./words.js";

/** How many ways each mark is drawn, so that no two beside each other look stamped. */
const HANDS = 3;

/** All photos in capture order, as on a contact sheet, with marks and reasons. */
export function contactSheet(report: Report, pictures: Pictures): Html {
  const { facts, judgement, counts } = report;
  const reasons = reasonsOf(report);
  const verdictOf = (file: string): PhotoVerdict => judgement.photoVerdicts.get(file) ?? "pass";
  const order = facts.orderedBy === "capture time" ? "in the order they were taken" : "by their names";
  return html`<section class="contact" aria-labelledby="contact">
<div class="bar"><h2 id="contact">Contact sheet</h2>${filter(counts)}</div>
<p class="aside">All photos ${order}. Open one to see it large. <span class="keys">Arrow keys go from photo to photo.</span></p>
<p class="aside" id="shown" aria-live="polite"></p>
<ol class="sheet">${facts.photos.map(({ file }, place) => {
    const verdict = verdictOf(file);
    const reason = mainReason(reasons.get(file) ?? [], verdict);
    return frame(
      { file, place, verdict, why: reason && verdict !== "pass" ? reasonOf(reason) : undefined },
      pictures,
    );
  })}</ol>
${notShown(report)}
</section>`;
}

interface Frame {
  readonly file: string;
  readonly place: number;
  readonly verdict: PhotoVerdict;
  readonly why: string | undefined;
}

function frame({ file, place, verdict, why }: Frame, pictures: Pictures): Html {
  const thumb = pictures.get(file)?.thumb;
  const mark = MARKS[verdict];
  return html`<li class="frame ${mark}" data-verdict="${verdict}"><button type="button" data-photo="${place}"${place > 0 && html` tabindex="-1"`}>
<span class="number">${place + 1}</span><span class="picture">${
    thumb === undefined
      ? html`<span class="none">no picture</span>`
      : html`<img alt="" loading="lazy" decoding="async" width="${thumb.widthPx}" height="${thumb.heightPx}" src="data:image/jpeg;base64,${thumb.base64}">`
  }${verdict !== "pass" && html`<svg class="mark" viewBox="0 0 100 100" aria-hidden="true"><use href="#${mark}${place % HANDS}"/></svg>`}</span>
<span class="name">${file}</span>${verdict !== "pass" && html`<span class="deed">${DEEDS[verdict]}</span>`}${why !== undefined && html`<span class="why">${why}</span>`}
</button></li>`;
}

function filter({ photos, pass, reshoot, leaveOut, edit }: Report["counts"]): Html {
  const choices = [
    ["all", "all", photos],
    ["reshoot", DEEDS.reshoot, reshoot],
    ["leave-out", DEEDS["leave-out"], leaveOut],
    ["edit", DEEDS.edit, edit],
    ["pass", DEEDS.pass, pass],
  ] as const;
  return html`<fieldset class="filter"><legend>Show</legend>${choices.map(
    ([value, words, number]) =>
      html`<label><input type="radio" name="filter" value="${value}"${value === "all" && html` checked`}><span>${words} <b>${number}</b></span></label>`,
  )}</fieldset>`;
}

/** Files that gave no picture. */
function notShown({ facts }: Report): Html | undefined {
  const files = [
    ...facts.unreadable.map(({ file, reason, wayOut }) => ({
      file,
      reason: wayOut === undefined ? reason : `${reason}: ${wayOut}`,
    })),
    ...facts.unsupported.map(({ file }) => ({ file, reason: "a raw photo without a picture inside" })),
  ];
  if (files.length === 0) return undefined;
  return html`<h3>Files that could not be read</h3><ul class="unread">${files.map(({ file, reason }) => html`<li><b>${file}</b>: ${reason}</li>`)}</ul>`;
}
