import { type Point, parseRegion, type Region } from "@tonefall/tone-core";

/**
 * A region as people say where it lies: `a box at the top left, 42 % wide and 30 % high`.
 *
 * @param text - in text form, as rows have it
 */
export function regionWords(text: string): string {
  const region = parseRegion(text);
  switch (region.shape) {
    case "whole":
      return "the whole picture";
    case "disc":
      return `a spot ${placeOf(region)}, ${percent(region.share)} of the picture`;
    case "box":
      return `a box ${placeOf(middleOf(region))}, ${percent(region.width)} wide and ${percent(region.height)} high`;
    case "circle":
      return `a circle ${placeOf(region)}, ${percent(2 * region.radius)} of the width across`;
    case "ellipse":
      return `an ellipse ${placeOf(region)}, ${percent(2 * region.radiusX)} wide and ${percent(2 * region.radiusY)} high`;
    case "polygon":
      return `an outline of ${region.points.length} corners ${placeOf(middleOf(region))}`;
  }
}

function middleOf(region: Extract<Region, { shape: "box" | "polygon" }>): Point {
  if (region.shape === "box") {
    return { x: region.x + region.width / 2, y: region.y + region.height / 2 };
  }
  const between = (values: readonly number[]): number =>
    (Math.min(...values) + Math.max(...values)) / 2;
  return {
    x: between(region.points.map(({ x }) => x)),
    y: between(region.points.map(({ y }) => y)),
  };
}

/** Where a point lies, by thirds of the picture. */
function placeOf({ x, y }: Point): string {
  const words = [third(y, "top", "bottom"), third(x, "left", "right")].filter(Boolean);
  return words.length === 0 ? "in the middle" : `at the ${words.join(" ")}`;
}

function third(at: number, first: string, last: string): string {
  if (at < 1 / 3) return first;
  return at > 2 / 3 ? last : "";
}

function percent(share: number): string {
  const percents = 100 * share;
  return `${percents < 10 ? Number(percents.toFixed(1)) : Math.round(percents)}\u00a0%`;
}
