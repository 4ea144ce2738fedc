import type { Markup } from "../markup.ts";

/** Markup as an element. What was put into it was escaped when it was made. */
export function drawn({ text }: Markup): Element {
  const template = document.createElement("template");
  template.innerHTML = text;
  return template.content.firstElementChild as Element;
}
