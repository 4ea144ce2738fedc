import { html, type Markup } from "./markup.ts";
import type { PageFrame } from "./pageFrame.ts";

/** Small pictures of frames, once a page: whatever shows one of them uses `#thumb-3`. */
export function thumbSymbols(frames: readonly PageFrame[]): Markup {
  const once = [...new Map(frames.map((frame) => [frame.number, frame])).values()];
  return html`<svg class="defs" width="0" height="0" aria-hidden="true">${once.map(
    ({ number, thumbnail: picture }) =>
      picture &&
      html`<symbol id="thumb-${number}" viewBox="0 0 3 2"><rect class="thumb-ground" width="3" height="2"/><image width="3" height="2" href="${picture.source}"/></symbol>`,
  )}</svg>`;
}

/** A small picture that stands in the page's symbols; empty where there is none. */
export function usedThumb({ number, thumbnail: picture }: PageFrame, words: string | null): Markup {
  const said = words === null ? html`aria-hidden="true"` : html`role="img" aria-label="${words}"`;
  return html`<svg class="used-thumb" viewBox="0 0 3 2" ${said}>${picture ? html`<use href="#thumb-${number}" width="3" height="2"/>` : html`<rect class="thumb-ground" width="3" height="2"/>`}</svg>`;
}
