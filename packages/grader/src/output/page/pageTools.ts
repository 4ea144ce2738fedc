import { html, type Markup } from "./markup.ts";

/** What the page's own code can do with the whole page: show it on a wall, print it. */
export function pageTools(): Markup {
  return html`<div class="page-tools no-print" role="group" aria-label="Show and print"><button type="button" class="wall-open" hidden>On the wall <kbd>P</kbd></button><span class="print-ways" hidden><button type="button" class="print-page">Print</button> <label><input type="checkbox" class="print-tables"> with tables</label></span></div>`;
}
