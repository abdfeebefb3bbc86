import { type Html, html } from "./html.js";

/** The empty window in which a photo is looked at; the page's script fills it. */
export function viewer(): Html {
  return html`<dialog id="viewer" aria-labelledby="seen">
<div class="top"><div><h2 id="seen" tabindex="-1"></h2><p id="seen-deed"></p></div>
<div class="steps"><button type="button" id="before" aria-label="Photo before">&#8592;</button><button type="button" id="after" aria-label="Photo after">&#8594;</button><button type="button" id="close">Close</button></div></div>
<div class="stage"><div class="photo"><img id="large" alt=""><svg id="over" aria-hidden="true"></svg></div><p id="gone" hidden>The photo itself is not in this page: it could not be read, or was changed after it was judged.</p></div>
<div class="layers" id="layers"></div>
<div id="told"></div>
</dialog>`;
}
