import { element } from "./element.ts";
import type { Showing } from "./exposedPicture.ts";
import { keptInside, type SpotShape } from "./spotShape.ts";

/** The spot's shape, and how the picture is shown. */
export interface SpotControls {
  readonly element: HTMLElement;
  readonly look: () => Omit<Showing, "moreStops">;
  /** Sets the controls to where the spot is. */
  readonly tell: (spot: SpotShape) => void;
}

/** Makes the controls of a spot; everything the pointer can do can be done with them and the keys. */
export function spotControls({
  aspect,
  onSpot,
  onLook,
  onReset,
  onHold,
  onBeside,
  onDone,
}: {
  readonly aspect: number;
  readonly onSpot: (spot: SpotShape) => void;
  readonly onLook: () => void;
  readonly onReset: () => void;
  readonly onHold: (held: boolean) => void;
  readonly onBeside: (wanted: boolean) => void;
  readonly onDone: () => void;
}): SpotControls {
  let here: SpotShape | null = null;
  const shape = element(
    "select",
    {},
    element("option", { value: "round" }, "round"),
    element("option", { value: "box" }, "box"),
  );
  const slider = (): HTMLInputElement =>
    element("input", { type: "range", min: "8", max: "100", step: "0.5" });
  const [width, height] = [slider(), slider()];
  const heightLabel = element("label", {}, "Height ", height);
  const hold = element("button", { type: "button", class: "hold" }, "Hold to expose it so");
  const beside = element("input", { type: "checkbox", name: "beside" });
  const withoutColour = element("input", { type: "checkbox", name: "without-colour" });
  const markClipped = element("input", { type: "checkbox", name: "mark-clipped", checked: "" });
  const reset = element("button", { type: "button" }, "Back to the region");
  const done = element("button", { type: "button", class: "spot-done" }, "Done");

  const read = (): void => {
    if (!here) return;
    const halfWidth = width.valueAsNumber / 200;
    const halfHeight = height.valueAsNumber / 200;
    onSpot(keptInside({ ...here, round: shape.value === "round", halfWidth, halfHeight }, aspect));
  };
  for (const input of [shape, width, height]) input.addEventListener("input", read);
  for (const input of [withoutColour, markClipped]) input.addEventListener("input", onLook);
  beside.addEventListener("input", () => onBeside(beside.checked));
  reset.addEventListener("click", onReset);
  done.addEventListener("click", onDone);
  hold.addEventListener("pointerdown", (event) => {
    hold.setPointerCapture(event.pointerId);
    onHold(true);
  });
  hold.addEventListener("lostpointercapture", () => onHold(false));
  hold.addEventListener("keydown", (event) => {
    if ((event.key === " " || event.key === "Enter") && !event.repeat) onHold(true);
  });
  hold.addEventListener("keyup", () => onHold(false));
  hold.addEventListener("blur", () => onHold(false));

  return {
    element: element(
      "div",
      { class: "controls" },
      hold,
      element("label", { class: "wide-only" }, beside, " Side by side"),
      reset,
      done,
      element("label", {}, "Shape ", shape),
      element("label", {}, "Width ", width),
      heightLabel,
      element("label", {}, withoutColour, " Without colour"),
      element("label", {}, markClipped, " Dots on white"),
    ),
    look: () => ({ withoutColour: withoutColour.checked, markClipped: markClipped.checked }),
    tell: (spot) => {
      here = spot;
      shape.value = spot.round ? "round" : "box";
      width.value = String(200 * spot.halfWidth);
      height.value = String(200 * spot.halfHeight);
      heightLabel.hidden = spot.round;
    },
  };
}
