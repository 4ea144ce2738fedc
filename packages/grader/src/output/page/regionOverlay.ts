import { parseRegion, type Region } from "@tonefall/tone-core";
import { html, type Markup } from "./markup.ts";
import { px } from "./px.ts";

/** A region with the name that its set gives it; null for the only one. */
export interface NamedRegion {
  readonly name: string | null;
  /** In text form, as rows have it. */
  readonly region: string;
}

/**
 * Regions drawn over a picture: a light line on a dark one, seen on any tone and of no colour.
 *
 * @param size - of the picture, pixels
 */
export function regionOverlay(
  regions: readonly NamedRegion[],
  { width, height }: { readonly width: number; readonly height: number },
): Markup {
  const shapes = regions.map(({ region }) => outline(parseRegion(region), width, height));
  const names = regions.flatMap(({ name, region }) => {
    if (name === null) return [];
    const { x, y } = topOf(parseRegion(region), width / height);
    const [left, top] = [px(x * width), px(Math.max(0.06, y - 0.02) * height)];
    return [
      html`<text x="${left}" y="${top}" font-size="${px(Math.max(width, height) / 24)}" text-anchor="middle">${name}</text>`,
    ];
  });
  return html`<svg class="region" viewBox="0 0 ${width} ${height}" aria-hidden="true"><g class="under">${shapes}</g><g class="over">${shapes}</g><g class="names">${names}</g></svg>`;
}

/** The middle of a region's upper edge, fractions of the picture. */
function topOf(region: Region, aspect: number): { readonly x: number; readonly y: number } {
  switch (region.shape) {
    case "whole":
      return { x: 0.5, y: 0 };
    case "box":
      return { x: region.x + region.width / 2, y: region.y };
    case "polygon": {
      const top = region.points.reduce((top, point) => (point.y < top.y ? point : top));
      return { x: top.x, y: top.y };
    }
    case "ellipse":
      return { x: region.x, y: region.y - region.radiusY };
    case "circle":
      return { x: region.x, y: region.y - region.radius * aspect };
    case "disc":
      return { x: region.x, y: region.y - Math.sqrt((region.share * aspect) / Math.PI) };
  }
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
