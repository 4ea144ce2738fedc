import type { SmallPicture } from "./frameView.ts";
import { html, type Markup } from "./markup.ts";

/** A small picture on neutral grey beside its frame's name, and so without words of its own; empty where there is none. */
export function thumbnail(picture: SmallPicture | null): Markup {
  if (!picture) return html`<span class="thumb"></span>`;
  return html`<span class="thumb"><img src="${picture.source}" alt="" width="${picture.width}" height="${picture.height}"></span>`;
}
