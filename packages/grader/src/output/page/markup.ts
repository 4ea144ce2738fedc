import { safeText } from "../../model/words.ts";

/** A piece of a page whose text has been escaped already. */
export class Markup {
  readonly text: string;

  constructor(text: string) {
    this.text = text;
  }
}

/** What may stand in a page: text, which is escaped, and pieces, which are not. */
export type Content = string | number | Markup | null | false | readonly Content[];

/**
 * A piece of a page. Every value that is put in is escaped, for element content and for quoted attributes alike, and
 * loses what could turn the line's direction; only pieces made by this function pass unchanged.
 *
 * @example
 * ```ts
 * html`<p>${"<b>"}</p>`.text; // => "<p>&lt;b&gt;</p>"
 * ```
 */
export function html(strings: TemplateStringsArray, ...values: readonly Content[]): Markup {
  let text = strings[0] as string;
  for (const [i, value] of values.entries()) text += textOf(value) + strings[i + 1];
  return new Markup(text);
}

/** Data for the page's own code, in an element that no browser runs. */
export function dataElement(id: string, data: unknown, kind = "data"): Markup {
  const json = JSON.stringify(data).replaceAll("<", "\\u003c");
  return new Markup(`<script type="application/json" class="${kind}" id="${id}">${json}</script>`);
}

function textOf(value: Content): string {
  if (value instanceof Markup) return value.text;
  if (value === null || value === false) return "";
  if (Array.isArray(value)) return value.map(textOf).join("");
  return escapeText(String(value));
}

const ENTITIES: Readonly<Record<string, string>> = {
  "&": "&amp;",
  "<": "&lt;",
  ">": "&gt;",
  '"': "&quot;",
  "'": "&#39;",
};

function escapeText(text: string): string {
  return safeText(text).replace(/[&<>"']/g, (character) => ENTITIES[character] as string);
}
