import { type Content, html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";

/** A frame as a row of a page, which opens to its card. */
export interface FrameFold {
  readonly frame: Pick<PageFrame, "id" | "number" | "name">;
  /** Small, beside the name. */
  readonly aside: Content;
  /** What it came to, in words and as a figure, while it is shut. */
  readonly verdict: Content;
  readonly figure: Content;
  /** Whether its card shows a picture, which the row shows too. */
  readonly pictured: boolean;
  readonly open: boolean;
  /** Whether its content is held aside until it comes near: for pages of many frames. */
  readonly waits: boolean;
  /** Of its claims, how many are not kept; null where it makes none. */
  readonly openClaims: number | null;
  readonly content: Markup;
  /** For the page's own code. */
  readonly data: Content;
}

/** Of more frames than this, cards are drawn as they come near. */
const DRAWN_AT_ONCE = 60;

/** Whether the cards of a page of so many frames are held aside until they come near. */
export function cardsWait(frames: number): boolean {
  return frames > DRAWN_AT_ONCE;
}

/** The row that every page of frames has for each of them, and the card that it opens to. */
export function frameFold(fold: FrameFold): Markup {
  const { frame, aside, verdict, figure, pictured, open, waits, openClaims, content, data } = fold;
  // The page's own code puts the card's picture in the row, so that it is in the page once.
  const thumb = pictured && html`<span class="row-thumb" aria-hidden="true"></span>`;
  return html`<article class="frame" id="${frame.id}" tabindex="-1"${openClaims !== null && html` data-open="${openClaims}"`}><details class="frame-fold"${open && html` open`}>
<summary>${thumb}<span class="number">${frame.number}</span><span class="frame-name"><h3>${frame.name}</h3><span class="quiet small">${aside}</span></span><span class="row-verdict">${verdict} <span class="row-figure">${figure}</span></span></summary>
${waits ? html`<template class="card-content">${content}</template>` : content}
</details>
${data}</article>`;
}
