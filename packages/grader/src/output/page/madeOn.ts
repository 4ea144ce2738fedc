import { version } from "../../run/version.ts";
import { html, type Markup } from "./markup.ts";

/** When a page was made, and by which version: printed pages take their date from here. */
export function madeOn(made: Date): Markup {
  const date = new Intl.DateTimeFormat("en-GB", { dateStyle: "long" }).format(made);
  return html`<time datetime="${made.toISOString().slice(0, 10)}">${date}</time>, Tonefall ${version()}.`;
}
