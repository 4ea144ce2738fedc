import type { CheckRow } from "../../model/checkResult.ts";
import { differenceText, outcomeMark } from "./claimWords.ts";
import { html, type Markup } from "./markup.ts";
import { typeset } from "./pageWords.ts";

/**
 * Claims with what was expected and found, in the order of the set file; what was not kept says why.
 *
 * @param within - the name of what they are claims of, left out of their own names
 */
export function claimsTable(
  caption: string,
  rows: readonly CheckRow[],
  within: string,
): Markup | null {
  if (rows.length === 0) return null;
  return html`<div class="claims-scroll"><table class="figures claims"><caption>${caption}</caption>
<thead><tr><th scope="col">Claim</th><th scope="col">Outcome</th><th scope="col" class="number-cell">Off by, stops</th><th scope="col">Expected</th><th scope="col">Found</th><th scope="col" class="number-cell">Line</th></tr></thead>
<tbody>${rows.map(
    (row) =>
      html`<tr><th scope="row">${ownName(row, within)}</th><td>${outcomeMark(row)}</td><td class="number-cell">${differenceText(row)}</td><td>${typeset(row.expected)}</td><td>${row.measured === null ? "–" : typeset(row.measured)}</td><td class="number-cell">${row.line}</td></tr>${
        row.outcome === "kept"
          ? null
          : html`<tr class="because"><td colspan="6">${typeset(row.sentence)}</td></tr>`
      }`,
  )}</tbody></table></div>`;
}

function ownName({ id }: CheckRow, within: string): string {
  return id.startsWith(within) ? id.slice(within.length).replace(/^[./]/, "") || id : id;
}
