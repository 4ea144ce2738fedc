import { createHash } from "node:crypto";
import { exp2, log2, power } from "@tonefall/tone-core";
import { html, Markup } from "./markup.ts";
import type { PageAssets } from "./pageAssets.ts";

/**
 * The shell around every page: policy, style, the gradient that plots draw tones with, code.
 *
 * @returns what stands before and after the page's content
 */
export function pageShell({ code, style }: PageAssets, title: string): readonly [Markup, Markup] {
  const hash = (text: string): string =>
    `'sha256-${createHash("sha256").update(text, "utf8").digest("base64")}'`;
  const policy = `default-src 'none'; img-src data: blob:; style-src ${hash(style)}; script-src ${hash(code)}; base-uri 'none'; form-action 'none'`;
  const head = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="Tonefall">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<title>${title} - Tonefall</title>
<link rel="icon" href="data:,">
<style>${new Markup(style)}</style>
</head>
<body>
<a class="skip" href="#frames">Skip to the frames</a>
${TONES}
<main>`;
  const foot = html`</main>
<footer><p>Made with Tonefall. The cautions here are general ones, not professional safety advice.</p></footer>
<script>${new Markup(code)}</script>
</body>
</html>
`;
  return [head, foot];
}

/** Middle grey's stops as a screen shows them, from black to display white, and white after that. */
const TONES: Markup = html`<svg class="defs" width="0" height="0" aria-hidden="true"><defs><linearGradient id="tones">${Array.from(
  { length: 22 },
  (_, i) => {
    const share = i / 21;
    const stops = -8 + share * (8 - log2(0.18));
    const light = 0.18 * exp2(stops);
    const code = Math.round(
      255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * power(light, 1 / 2.4) - 0.055),
    );
    return html`<stop offset="${share.toFixed(3)}" stop-color="rgb(${code},${code},${code})"/>`;
  },
)}</linearGradient></defs></svg>`;
