import * as Plot from "@observablehq/plot";
import { parseHTML } from "linkedom";
import { safeText } from "../report/words.ts";
import { html, Markup } from "./markup.ts";

const { document } = parseHTML("<!doctype html><html><body></body></html>");

/** Ink of plots; warm is lighter than placed, cool is darker. The same as in the page's style. */
export const INK = { text: "#2b2b2b", faint: "#6b6b6b", warm: "#9c4a16", cool: "#1f5584" } as const;

/** A plot's marks. */
export type Marks = NonNullable<Plot.PlotOptions["marks"]>;

/** Options of a plot, its title and one sentence that tells what it shows. */
export interface PlotFigure {
  readonly title: string;
  readonly summary: string;
  readonly options: Plot.PlotOptions;
}

/**
 * Draws a plot as a figure: title, SVG, and a sentence that says the same in words.
 *
 * The SVG carries no style and no names of its parts: the page's policy allows none but its own style, and a drawing
 * is one picture to a screen reader, told by its title and sentence.
 */
export function plotFigure({ title, summary, options }: PlotFigure): Markup {
  // The library's types are of a browser's document; this one has all that is drawn with.
  const drawn = Plot.plot({ ...options, document } as Plot.PlotOptions);
  const svg = bare(drawn as unknown as Drawing);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", safeText(title));
  return html`<figure class="plot"><h4>${title}</h4>${new Markup(svg.outerHTML)}<figcaption>${summary}</figcaption></figure>`;
}

/** As much of an element as is needed here. */
interface Drawing {
  readonly outerHTML: string;
  readonly attributes: Iterable<{ readonly name: string; value: string }>;
  querySelectorAll(selector: string): Iterable<Drawing>;
  remove(): void;
  setAttribute(name: string, value: string): void;
  removeAttribute(name: string): void;
}

function bare(svg: Drawing): Drawing {
  for (const style of svg.querySelectorAll("style")) style.remove();
  for (const element of [svg, ...svg.querySelectorAll("*")]) {
    for (const attribute of [...element.attributes]) {
      const { name, value } = attribute;
      if (/^(aria-|class$|style$|font-family$)/.test(name)) element.removeAttribute(name);
      else
        attribute.value = value.replace(
          /\d+\.\d{2,}/g,
          (number) => `${+Number(number).toFixed(1)}`,
        );
    }
  }
  return svg;
}
