import { element } from "./element.ts";
import type { Showing } from "./exposedPicture.ts";
import { keptInside, type SpotShape } from "./spotShape.ts";

/** The spot's place and size as sliders, and how the pictures are shown. */
export interface SpotControls {
  readonly element: HTMLElement;
  readonly look: () => Omit<Showing, "moreStops">;
  /** Sets the sliders to where the spot is. */
  readonly tell: (spot: SpotShape) => void;
}

/** Makes the controls of a spot; everything the pointer can do can be done with them. */
export function spotControls({
  aspect,
  onSpot,
  onLook,
  onReset,
}: {
  readonly aspect: number;
  readonly onSpot: (spot: SpotShape) => void;
  readonly onLook: () => void;
  readonly onReset: () => void;
}): SpotControls {
  const slider = (most: string): HTMLInputElement =>
    element("input", { type: "range", min: "0", max: most, step: "0.1" });
  const [across, down, width, height] = [
    slider("100"),
    slider("100"),
    slider("100"),
    slider("100"),
  ];
  const shape = element(
    "select",
    {},
    element("option", { value: "round" }, "round"),
    element("option", { value: "box" }, "box"),
  );
  const withoutColour = element("input", { type: "checkbox", name: "without-colour" });
  const markClipped = element("input", { type: "checkbox", name: "mark-clipped", checked: "" });
  const reset = element("button", { type: "button" }, "Back to the brief's region");
  const heightLabel = element("label", {}, "Height ", height);
  const part = (input: HTMLInputElement): number => input.valueAsNumber / 100;
  const read = (): void =>
    onSpot(
      keptInside(
        {
          round: shape.value === "round",
          x: part(across),
          y: part(down),
          halfWidth: part(width) / 2,
          halfHeight: part(height) / 2,
        },
        aspect,
      ),
    );
  for (const input of [across, down, width, height, shape]) input.addEventListener("input", read);
  for (const input of [withoutColour, markClipped]) input.addEventListener("input", onLook);
  reset.addEventListener("click", onReset);
  return {
    element: element(
      "div",
      { class: "controls" },
      element("label", {}, "Shape ", shape),
      element("label", {}, "Across ", across),
      element("label", {}, "Down ", down),
      element("label", {}, "Width ", width),
      heightLabel,
      element("label", { class: "check" }, withoutColour, " Tones without colour"),
      element("label", { class: "check" }, markClipped, " Dots where it is white"),
      reset,
    ),
    look: () => ({ withoutColour: withoutColour.checked, markClipped: markClipped.checked }),
    tell: ({ round, x, y, halfWidth, halfHeight }) => {
      shape.value = round ? "round" : "box";
      across.value = String(100 * x);
      down.value = String(100 * y);
      width.value = String(200 * halfWidth);
      height.value = String(200 * halfHeight);
      heightLabel.hidden = round;
    },
  };
}
