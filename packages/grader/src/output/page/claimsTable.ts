import type { CheckRow } from "../../model/checkResult.ts";
import { foldedRows, restingText } from "../text/checkWords.ts";
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
<tbody>${foldedRows(rows).map(
    ({ row, resting }) =>
      html`<tr><th scope="row">${ownName(row, within)}</th><td>${outcomeMark(row)}</td><td class="number-cell">${differenceText(row)}</td><td>${typeset(row.expected)}</td><td>${row.measured === null ? "–" : typeset(row.measured)}</td><td class="number-cell">${row.line}</td></tr>${
        row.outcome === "kept"
          ? null
          : html`<tr class="because"><td colspan="6">${typeset(row.sentence)}${resting.length > 0 && foldedClaims(resting)}</td></tr>`
      }`,
  )}</tbody></table></div>`;
}

/** Claims that rest on one picture, folded below what is wrong with it. */
export function foldedClaims(resting: readonly CheckRow[]): Markup {
  return html`<details><summary>${restingText(resting.length)}</summary><ul>${resting.map(({ id, line, expected }) => html`<li>${id}, line ${line}: ${typeset(expected)}</li>`)}</ul></details>`;
}

function ownName({ id }: CheckRow, within: string): string {
  return id.startsWith(within) ? id.slice(within.length).replace(/^[./]/, "") || id : id;
}
