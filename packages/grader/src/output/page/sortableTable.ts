import { type Content, html, type Markup } from "./markup.ts";

/** A table that the page's own code lets sort and filter, with the cards that its rows speak of. */
export interface SortableTable {
  readonly caption: string;
  /** What the rows are, for their count. */
  readonly unit: string;
  /** Heading, and whether the column is sorted by number. */
  readonly columns: readonly (readonly [string, "number" | "text"])[];
  /** What can be chosen from, by the words of the rows' `filters`; left out where all rows say the same. Without any there is no form. */
  readonly filters: readonly string[];
  readonly rows: readonly TableRow[];
}

/** A row of a table. */
export interface TableRow {
  /** Elements that are hidden when no row that speaks of them is shown. */
  readonly cards: readonly string[];
  /** What the search by name looks in. */
  readonly named: string;
  /** A word for each of the table's filters; empty for none. */
  readonly filters: readonly string[];
  /** What a cell shows, and what it is sorted by; null for missing, which comes last. */
  readonly cells: readonly (readonly [Content, number | string | null])[];
}

/** Filters and the table below them; without the page's own code the table alone. */
export function sortableTable({ caption, unit, columns, filters, rows }: SortableTable): Markup {
  return html`${filters.length > 0 && filterForm(unit, filters, rows)}
<div class="table-scroll" role="region" aria-label="${caption}, a table" tabindex="0"><table class="frames"><caption>${caption}</caption>
<thead><tr>${columns.map(([heading, kind]) => html`<th scope="col" data-kind="${kind}">${heading}</th>`)}</tr></thead>
<tbody>${rows.map(rowOf)}</tbody></table></div>`;
}

function filterForm(unit: string, filters: readonly string[], rows: readonly TableRow[]): Markup {
  return html`<form class="filters" hidden data-unit="${unit}"><fieldset><legend>Show</legend>
${filters.map((label, i) => filter(label, i, rows))}
<label>Name contains <input type="search" name="named" autocomplete="off"></label>
<button type="reset">Show all</button></fieldset>
<p role="status" class="shown-count"></p></form>`;
}

function filter(label: string, at: number, rows: readonly TableRow[]): Markup | null {
  const words = [...new Set(rows.map(({ filters }) => filters[at] ?? ""))].filter(Boolean).sort();
  if (words.length < 2) return null;
  return html`<label>${label} <select name="filter-${at}"><option value="">all</option>${words.map((word) => html`<option>${word}</option>`)}</select></label>`;
}

function rowOf({ cards, named, filters, cells }: TableRow): Markup {
  return html`<tr data-cards="${cards.join(" ")}" data-named="${named}"${filters.map((word, i) => html` data-filter-${i}="${word}"`)}>${cells.map(([content, value]) => html`<td data-sort="${value === null ? "" : value}">${content}</td>`)}</tr>`;
}
