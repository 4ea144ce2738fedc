import { createHash } from "node:crypto";
import { summarise, summaryText } from "../report/summarise.ts";
import { card } from "./card.ts";
import { type Content, html, Markup } from "./markup.ts";
import { overview } from "./overview.ts";
import type { PageFrame } from "./pageFrame.ts";
import { sheetSection } from "./sheetSection.ts";

/** The page's own code and style, as built. */
export interface PageAssets {
  readonly code: string;
  readonly style: string;
}

/** A report that would pass this many characters is written as several pages. */
const ONE_PAGE = 60e6;

/** Cards go on one of several pages until it holds this many characters. */
const PART = 30e6;

/**
 * A report: one self-contained page, or an index with the cards on pages in a folder beside it.
 *
 * @param name - file name of the page to open
 * @param kits - the section on measured kits; null where there is none
 * @returns pages by file name, that one first; they ask nothing of any network, and their own policy forbids it
 */
export function reportPages(
  frames: readonly PageFrame[],
  assets: PageAssets,
  name: string,
  onePage: number = ONE_PAGE,
  kits: Markup | null = null,
): ReadonlyMap<string, string> {
  const cards = frames.map((frame) => ({ frame, markup: card(frame) }));
  const head = [title(frames), overview(frames), sheetSection(frames), kits];
  const size = [...head, ...cards.map(({ markup }) => markup)].reduce(
    (sum, part) => sum + (part?.text.length ?? 0),
    0,
  );
  if (size <= onePage)
    return new Map([[name, pageOf(assets, [...head, cardSection(cards), KEPT_LINES])]]);

  const folder = `${name.replace(/\.html?$/i, "")}-frames`;
  const parts = partsOf(cards, Math.min(PART, onePage));
  const fileOf = (part: number): string => `${String(part + 1).padStart(3, "0")}.html`;
  const pageOfFrame = new Map(
    parts.flatMap((part, i) =>
      part.map(({ frame }) => [frame, `${encodeURIComponent(folder)}/${fileOf(i)}`] as const),
    ),
  );
  const linked = frames.map((frame) => ({ ...frame, page: pageOfFrame.get(frame) ?? "" }));
  const index = html`<section id="frames" aria-labelledby="frames-title"><h2 id="frames-title">Frames</h2><ul>${parts.map(
    (part, i) =>
      html`<li><a href="${encodeURIComponent(folder)}/${fileOf(i)}">Frames ${part[0]?.frame.number ?? 0} to ${part.at(-1)?.frame.number ?? 0}</a></li>`,
  )}</ul></section>`;
  const pages = parts.map((part, i): [string, string] => [
    `${folder}/${fileOf(i)}`,
    pageOf(assets, [
      html`<header class="top"><h1>Exposure report, frames ${part[0]?.frame.number ?? 0} to ${part.at(-1)?.frame.number ?? 0}</h1><p><a href="../${encodeURIComponent(name)}">Overview</a></p></header>`,
      cardSection(part),
      KEPT_LINES,
    ]),
  ]);
  return new Map([
    [name, pageOf(assets, [title(frames), overview(linked), sheetSection(linked), kits, index])],
    ...pages,
  ]);
}

interface Card {
  readonly frame: PageFrame;
  readonly markup: Markup;
}

function title(frames: readonly PageFrame[]): Markup {
  const rows = frames.map(({ row }) => row);
  const bases = new Set(rows.map(({ basis }) => basis).filter((basis) => basis !== null));
  const basis = bases.size === 1 ? `Stops are on the ${[...bases][0]} basis.` : "";
  return html`<header class="top"><h1>Exposure report</h1><p>${summaryText(summarise(rows))}. ${basis} 0 is middle grey; + is brighter.</p></header>`;
}

function cardSection(cards: readonly Card[]): Markup {
  return html`<section id="frames" aria-labelledby="frames-title"><h2 id="frames-title">Frames</h2>${cards.map(({ markup }) => markup)}</section>`;
}

function partsOf(cards: readonly Card[], most: number): Card[][] {
  const parts: Card[][] = [];
  let size = Number.POSITIVE_INFINITY;
  for (const one of cards) {
    if (size + one.markup.text.length > most) {
      parts.push([]);
      size = 0;
    }
    parts.at(-1)?.push(one);
    size += one.markup.text.length;
  }
  return parts;
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
