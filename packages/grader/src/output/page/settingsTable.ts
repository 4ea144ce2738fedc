import type { Exposure, ExposureField } from "../../model/result.ts";
import { html, type Markup } from "./markup.ts";
import { keyWords } from "./wording.ts";

/** Told elsewhere, or of no use to a person. */
const LEFT_OUT: ReadonlySet<string> = new Set(["keywords", "regions", "pixelWidth", "pixelHeight"]);

/** The exposure record, each setting with where it came from. */
export function settingsTable(exposure: Exposure): Markup {
  const fields = Object.entries(exposure as unknown as Record<string, ExposureField<unknown>>);
  const shown = fields.filter(([key]) => !LEFT_OUT.has(key));
  const recorded = shown.filter(([, { value }]) => value !== null);
  const missing = shown.filter(([, { value }]) => value === null);
  return html`<table class="figures settings"><caption>Settings as recorded, and where each came from</caption>
<thead><tr><th scope="col">Setting</th><th scope="col">Recorded</th><th scope="col">From</th></tr></thead>
<tbody>${recorded.map(([key, field]) => html`<tr><th scope="row">${keyWords(key)}</th><td>${valueText(field.value)}${field.exact !== undefined && html` <span class="quiet">(stands for ${valueText(field.exact)})</span>`}</td><td>${"from" in field ? String(field.from) : ""}</td></tr>`)}</tbody></table>
${missing.length > 0 ? html`<p class="missing">Not recorded: ${missing.map(([key]) => keyWords(key)).join(", ")}.</p>` : null}`;
}

function valueText(value: unknown): string {
  if (typeof value === "number") return String(Number(value.toPrecision(5)));
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (typeof value !== "object" || value === null) return String(value);
  return Object.entries(value)
    .map(([key, part]) => `${keyWords(key)} ${valueText(part)}`)
    .join(", ");
}
