import type { Report } from "../../types/report.js";
import { verdictWords } from "../verdict.js";
import { script, scriptHash, style, styleHash } from "./assets.js";
import { curvesSection } from "./curves.js";
import { frontSheet } from "./front.js";
import { embeddedJson, Html, html } from "./html.js";
import { markSymbols } from "./marks.js";
import { notes } from "./notes.js";
import type { Pictures } from "./pictures.js";
import { placesSection } from "./places.js";
import { contactSheet } from "./sheet.js";
import { viewedPhotos } from "./viewed.js";
import { viewer } from "./viewer.js";

/**
 * The report as a page to look at: one file that loads nothing, from nowhere. All it shows as measured or judged is the
 * report's; pictures are handed to it.
 */
export function renderPage(report: Report, pictures: Pictures): string {
  const { tool, facts } = report;
  // Nothing may be loaded or sent, and nothing runs but the page's own script.
  const policy = `default-src 'none'; img-src data:; style-src 'sha256-${styleHash}'; script-src 'sha256-${scriptHash}'; base-uri 'none'; form-action 'none'`;
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="${tool.name} ${tool.version}">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${verdictWords(report).word}: ${facts.folder}</title>
<style>${new Html(style)}</style>
</head>
<body>
${markSymbols()}
<main>
${frontSheet(report)}
<div class="both">
${contactSheet(report, pictures)}
${placesSection(report)}
</div>
${curvesSection(report)}
${notes(report)}
</main>
${viewer()}
<script type="application/json" id="photos">${embeddedJson(viewedPhotos(report, pictures))}</script>
${facts.photos.map(({ file }, place) => {
  const own = pictures.get(file);
  return (
    own !== undefined && [
      stored(`large-${place}`, own.large.base64),
      own.levelled && stored(`levelled-${place}`, own.levelled.base64),
      own.cuts.map((cut, k) => stored(`cut-${place}-${k}`, cut.base64)),
    ]
  );
})}
<script>${new Html(script)}</script>
</body>
</html>
`.text;
}

/** A picture that is not decoded before it is looked at. */
function stored(id: string, base64: string): Html {
  return html`<script type="text/plain" id="${id}">${new Html(base64)}</script>\n`;
}
