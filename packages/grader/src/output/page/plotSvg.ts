import * as Plot from "@observablehq/plot";
import { parseHTML } from "linkedom";
import { safeText } from "../../model/words.ts";
import { html, Markup } from "./markup.ts";

const { document } = parseHTML("<!doctype html><html><body></body></html>");

/** Ink of plots, from the page's tokens: warm is lighter than placed, cool is darker. */
export const INK = {
  text: "var(--ink)",
  faint: "var(--faint)",
  warm: "var(--warm)",
  cool: "var(--cool)",
} as const;

/** A plot's marks. */
export type Marks = NonNullable<Plot.PlotOptions["marks"]>;

/** A plot, its title and one sentence that tells what it shows. */
export interface PlotFigure {
  readonly title: string;
  /** The level of the title among the page's headings. */
  readonly heading?: "h3" | "h4";
  readonly summary: string;
  /** Draws it at a width, pixels. */
  readonly options: (width: number) => Plot.PlotOptions;
  /** Labels keep their size, so a narrow screen may have a drawing of its own. */
  readonly widths: { readonly wide: number; readonly narrow?: number };
}

/**
 * Draws a plot as a figure: title, SVG for wide and for narrow screens, and a sentence that says the same in words.
 *
 * The SVG carries no style and no names of its parts: the page's policy allows none but its own style, and a drawing
 * is one picture to a screen reader, told by its title and sentence.
 */
export function plotFigure({
  title,
  heading = "h4",
  summary,
  options,
  widths,
}: PlotFigure): Markup {
  const drawings = Object.entries(widths).map(([which, width]) => {
    // The library's types are of a browser's document; this one has all that is drawn with.
    const drawn = Plot.plot({ ...options(width), document } as Plot.PlotOptions);
    const svg = bare(drawn as unknown as Drawing);
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", safeText(title));
    svg.setAttribute("class", which);
    return new Markup(svg.outerHTML);
  });
  return html`<figure class="plot"><${heading}>${title}</${heading}>${drawings}<figcaption>${summary}</figcaption></figure>`;
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
        attribute.value = value.replace(/[\d.]+/g, (number) =>
          /^\d+\.\d{2,}$/.test(number) ? `${+Number(number).toFixed(1)}` : number,
        );
    }
  }
  return svg;
}
