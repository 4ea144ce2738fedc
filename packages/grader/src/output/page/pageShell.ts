import { createHash } from "node:crypto";
import { exp2, power } from "@tonefall/tone-core";
import { type Content, html, Markup } from "./markup.ts";
import type { PageAssets } from "./pageAssets.ts";
import { TONES } from "./ruler.ts";

/** What the frame of a page says. */
export interface PageShell {
  readonly title: string;
  /** One line beside the title: what the page is of, when it was made. */
  readonly lead?: Content;
  /** Ways through the page, and to other pages of the same run. */
  readonly nav?: readonly { readonly href: string; readonly text: string }[];
  /** What can be done with the whole page; it ends the row of the title. */
  readonly tools?: Content;
  /** What the first link of the page skips to: an element's name. */
  readonly skipTo?: { readonly href: string; readonly text: string };
  /** Stands after main and before the footer, outside of what is read first: data, dialogs. */
  readonly after?: Content;
  /** Whether its code compiles WebAssembly, in workers that it starts of itself. No connection is allowed either way. */
  readonly codecs?: boolean;
}

/**
 * The frame around every page: policy, style, header with title and navigation, main, footer, and the gradient that rulers
 * draw tones with.
 *
 * @param assets - its code may be empty, for a page that runs none
 * @returns what stands before and after the content of main
 */
export function pageShell(
  { code, style }: PageAssets,
  { title, lead = null, nav = [], tools = null, skipTo, after = null, codecs = false }: PageShell,
): readonly [Markup, Markup] {
  const hash = (text: string): string =>
    `'sha256-${createHash("sha256").update(text, "utf8").digest("base64")}'`;
  const compiles = codecs ? " 'wasm-unsafe-eval'; worker-src blob:" : "";
  const scripts = code === "" ? "'none'" : `${hash(code)}${compiles}`;
  const policy = `default-src 'none'; img-src data: blob:; style-src ${hash(style)}; script-src ${scripts}; base-uri 'none'; form-action 'none'`;
  const head = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="Tonefall">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>${title} - Tonefall</title>
<link rel="icon" href="data:,">
<style>${new Markup(style)}</style>
</head>
<body>
<a class="skip" href="${skipTo?.href ?? "#main"}">${skipTo?.text ?? "Skip to the content"}</a>
${GRADIENT}
<header class="page-top"><h1>${title}</h1>${lead && html`<p class="lead">${lead}</p>`}${nav.length > 0 && html`<nav aria-label="Page">${nav.map(({ href, text }) => html`<a href="${href}">${text}</a>`)}</nav>`}${tools}</header>
<main id="main" tabindex="-1">`;
  const foot = html`</main>
${after}
<footer class="page-foot"><p>Made with Tonefall. Stops are from middle grey; + is brighter. The cautions are general ones, not professional safety advice.</p></footer>
${code === "" ? null : html`<script>${new Markup(code)}</script>`}
</body>
</html>
`;
  return [head, foot];
}

/** Middle grey's stops as a screen shows them, from black to display white. */
const GRADIENT: Markup = html`<svg class="defs" width="0" height="0" aria-hidden="true"><defs><linearGradient id="tones">${Array.from(
  { length: 22 },
  (_, i) => {
    const share = i / 21;
    const light = 0.18 * exp2(TONES[0] + share * (TONES[1] - TONES[0]));
    const code = Math.round(
      255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * power(light, 1 / 2.4) - 0.055),
    );
    return html`<stop offset="${share.toFixed(3)}" stop-color="rgb(${code},${code},${code})"/>`;
  },
)}</linearGradient></defs></svg>`;
