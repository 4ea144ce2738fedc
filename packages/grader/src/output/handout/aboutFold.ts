import { html, type Markup } from "../page/markup.ts";
import type { PageNotice } from "./notice.ts";

/** Whose code the page carries, with licences and where the sources are; the page's code fills in the licences' words. */
export function aboutFold(notices: readonly PageNotice[]): Markup {
  return html`<details class="about"><summary>About this page</summary>
<p>Tonefall made this page. It carries the code of these packages:</p>
<ul>${notices.map((notice) => html`<li>${headOf(notice)}${notice.source && html`. Sources: <a href="${notice.source}" rel="noreferrer">${notice.source}</a>`}</li>`)}</ul>
<p>Each decoder is a part of this file by itself, so that another build of it can take its place.</p>
<details class="licences"><summary>The words of the licences</summary><pre tabindex="0" aria-label="The words of the licences"></pre></details>
</details>`;
}

/** The words of the licences one after another, as plain text. */
export function noticeTexts(notices: readonly PageNotice[]): string {
  return notices
    .filter(({ text }) => text !== "")
    .map((notice) => `${headOf(notice)}\n\n${notice.text}\n`)
    .join(`\n${"-".repeat(72)}\n\n`);
}

function headOf({ name, version, within, licence }: PageNotice): string {
  return `${[name, version].filter((part) => part !== null).join(" ")}${within === null ? "" : `, compiled in ${within}`} (${licence})`;
}
