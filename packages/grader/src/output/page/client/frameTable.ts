/**
 * Makes the page's table sortable by its headings, at once or when it is drawn, and shows or hides rows and their cards by
 * the filters over it.
 */
export function frameTable(): void {
  const table = document.querySelector<HTMLTableElement>("table.frames");
  if (!table) {
    document.addEventListener("drawn", () => {
      if (document.querySelector("table.frames:not(:has(th button))")) frameTable();
    });
    return;
  }
  for (const heading of table.tHead?.rows[0]?.cells ?? []) sortable(table, heading);
  const form = document.querySelector<HTMLFormElement>("form.filters");
  if (!form) return;
  const apply = (): void => filter(table, form);
  form.hidden = false;
  form.addEventListener("input", apply);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(apply));
  apply();
}

function sortable(table: HTMLTableElement, heading: HTMLTableCellElement): void {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = heading.textContent;
  heading.replaceChildren(button);
  button.addEventListener("click", () => {
    const down = heading.getAttribute("aria-sort") === "ascending";
    for (const other of heading.parentElement?.children ?? []) other.removeAttribute("aria-sort");
    heading.setAttribute("aria-sort", down ? "descending" : "ascending");
    sortRows(table, heading.cellIndex, heading.dataset["kind"] === "number", down ? -1 : 1);
  });
}

function sortRows(
  table: HTMLTableElement,
  column: number,
  byNumber: boolean,
  direction: 1 | -1,
): void {
  const body = table.tBodies[0];
  if (!body) return;
  const value = (row: HTMLTableRowElement): string => row.cells[column]?.dataset["sort"] ?? "";
  const compare = (a: HTMLTableRowElement, b: HTMLTableRowElement): number => {
    const [one, other] = [value(a), value(b)];
    // What is missing comes last, whichever way the rest is sorted.
    if (one === "" || other === "") return Number(one === "") - Number(other === "");
    const order = byNumber
      ? Number(one) - Number(other)
      : one.localeCompare(other, undefined, { numeric: true });
    return direction * order;
  };
  body.append(...[...body.rows].sort(compare));
}

function filter(table: HTMLTableElement, form: HTMLFormElement): void {
  const named = String(new FormData(form).get("named") ?? "").toLowerCase();
  const chosen = [...form.querySelectorAll("select")].filter(({ value }) => value !== "");
  const holds = (row: HTMLTableRowElement): boolean =>
    chosen.every(({ name, value }) => row.getAttribute(`data-${name}`) === value) &&
    (row.dataset["named"] ?? "").toLowerCase().includes(named);
  const rows = [...(table.tBodies[0]?.rows ?? [])];
  const cards = new Map<string, boolean>();
  let shown = 0;
  for (const row of rows) {
    row.hidden = !holds(row);
    if (!row.hidden) shown++;
    for (const id of row.dataset["cards"]?.split(" ") ?? []) {
      cards.set(id, cards.get(id) || !row.hidden);
    }
  }
  for (const [id, isShown] of cards) {
    const card = document.getElementById(id);
    if (card) card.hidden = !isShown;
  }
  const status = form.querySelector<HTMLElement>(".shown-count");
  if (status) {
    status.textContent = `${shown} of ${rows.length} ${form.dataset["unit"] ?? "rows"} shown`;
  }
}
