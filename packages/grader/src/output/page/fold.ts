import { deflateSync } from "node:zlib";
import { type Content, html, Markup } from "./markup.ts";

/**
 * Content that is drawn when it is opened: until then it is packed text, which a browser neither parses nor lays out.
 *
 * @returns null where there is no content
 */
export function fold(title: string, content: Content, kind = ""): Markup | null {
  if (content === null || content === false) return null;
  const packed = deflateSync(html`${content}`.text, { level: 9 }).toString("base64");
  return html`<details class="fold ${kind}"><summary>${title}</summary>${new Markup(`<script type="application/octet-stream" class="packed">${packed}</script>`)}</details>`;
}
