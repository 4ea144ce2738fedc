import { createHash } from "node:crypto";
import { summarise, summaryText } from "../report/summarise.ts";
import { card } from "./card.ts";
import { type Content, html, Markup } from "./markup.ts";
import { overview } from "./overview.ts";
import type { PageFrame } from "./pageFrame.ts";

/** The page's own code and style, as built. */
export interface PageAssets {
  readonly code: string;
  readonly style: string;
}

/**
 * A report on one self-contained page.
 *
 * @returns the page's text; it asks nothing of any network, and its own policy forbids it to
 */
export function reportPage(frames: readonly PageFrame[], assets: PageAssets): string {
  const bases = new Set(frames.map(({ row }) => row.basis).filter((basis) => basis !== null));
  const basis = bases.size === 1 ? `Stops are on the ${[...bases][0]} basis.` : "";
  return pageOf(assets, [
    html`<header class="top"><h1>Exposure report</h1><p>${summaryText(summarise(frames.map(({ row }) => row)))}. ${basis} 0 is middle grey; + is brighter.</p></header>`,
    overview(frames),
    html`<section id="frames" aria-labelledby="frames-title"><h2 id="frames-title">Frames</h2>${frames.map(card)}</section>`,
    KEPT_LINES,
  ]);
}

/** The shell around every page: policy, style, the gradient that plots draw tones with, code. */
function pageOf({ code, style }: PageAssets, content: Content): string {
  const hash = (text: string): string =>
    `'sha256-${createHash("sha256").update(text, "utf8").digest("base64")}'`;
  const policy = `default-src 'none'; img-src data: blob:; style-src ${hash(style)}; script-src ${hash(code)}; base-uri 'none'; form-action 'none'`;
  return `${
    html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>Exposure report - Tonefall</title>
<link rel="icon" href="data:,">
<style>${new Markup(style)}</style>
</head>
<body>
<a class="skip" href="#frames">Skip to the frames</a>
${TONES}
<main>${content}</main>
<footer><p>Written by Tonefall. Usual cautions are no safety advice from a licensed person.</p></footer>
<script>${new Markup(code)}</script>
</body>
</html>
`.text
  }`;
}

/** Where lines of a brief gather that were picked with the spot. */
const KEPT_LINES: Markup = html`<section id="brief" class="no-print" aria-labelledby="brief-title" hidden><h2 id="brief-title">Your brief</h2>
<p>The lines you kept, for <code>tonefall grade --brief brief.yaml</code>.</p>
<textarea rows="3" spellcheck="false" aria-labelledby="brief-title"></textarea>
<p><button type="button" class="copy">Copy</button> <button type="button" class="save">Save as brief.yaml</button> <span role="status"></span></p></section>`;

/** Middle grey's stops as a screen shows them, from black to display white, and white after that. */
const TONES: Markup = html`<svg class="defs" width="0" height="0" aria-hidden="true"><defs><linearGradient id="tones">${Array.from(
  { length: 22 },
  (_, i) => {
    const share = i / 21;
    const stops = -8 + share * (8 - Math.log2(0.18));
    const light = 0.18 * 2 ** stops;
    const code = Math.round(
      255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055),
    );
    return html`<stop offset="${share.toFixed(3)}" stop-color="rgb(${code},${code},${code})"/>`;
  },
)}</linearGradient></defs></svg>`;
