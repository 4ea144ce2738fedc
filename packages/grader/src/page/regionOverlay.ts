import { parseRegion, type Region } from "@tonefall/tone-core";
import { html, type Markup } from "./markup.ts";

/**
 * A region drawn over a picture: a light line on a dark one, seen on any tone and of no colour.
 *
 * @param text - the region's text form, as rows have it
 * @param size - of the picture, pixels
 */
export function regionOverlay(
  text: string,
  { width, height }: { readonly width: number; readonly height: number },
): Markup {
  const shape = outline(parseRegion(text), width, height);
  return html`<svg class="region" viewBox="0 0 ${width} ${height}" aria-hidden="true"><g class="under">${shape}</g><g class="over">${shape}</g></svg>`;
}

function outline(region: Region, width: number, height: number): Markup {
  switch (region.shape) {
    case "whole":
      return html`<rect x="2" y="2" width="${width - 4}" height="${height - 4}"/>`;
    case "box":
      return html`<rect x="${px(region.x * width)}" y="${px(region.y * height)}" width="${px(region.width * width)}" height="${px(region.height * height)}"/>`;
    case "disc": {
      const radius = Math.sqrt((region.share * width * height) / Math.PI);
      return html`<circle cx="${px(region.x * width)}" cy="${px(region.y * height)}" r="${px(radius)}"/>`;
    }
    case "circle":
      return html`<circle cx="${px(region.x * width)}" cy="${px(region.y * height)}" r="${px(region.radius * width)}"/>`;
    case "ellipse":
      return html`<ellipse cx="${px(region.x * width)}" cy="${px(region.y * height)}" rx="${px(region.radiusX * width)}" ry="${px(region.radiusY * height)}"/>`;
    case "polygon":
      return html`<polygon points="${region.points.map(({ x, y }) => `${px(x * width)},${px(y * height)}`).join(" ")}"/>`;
  }
}

function px(value: number): string {
  return String(Number(value.toFixed(1)));
}
