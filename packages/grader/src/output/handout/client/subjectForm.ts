import { element } from "../../page/client/element.ts";
import type { PictureView } from "./pictureView.ts";

/** How large a subject is at first: its radius over the picture's width, about a meter's spot. */
const FIRST_RADIUS = 0.06;

/** How long to wait for the next step of a slider before the picture is measured, in milliseconds. */
const PAUSE = 400;

/** The way to mark a subject. */
export interface SubjectForm {
  readonly element: HTMLElement;
  /** Shows a mark that was set before. */
  show(region: string): void;
}

/** Lets the student mark the subject: by pressing on the picture, or with three sliders. */
export function subjectForm(picture: PictureView, onRegion: (region: string) => void): SubjectForm {
  const x = slider("Across", 0, 1, 0.5);
  const y = slider("Down", 0, 1, 0.5);
  const size = slider("Size", 0.02, 0.3, FIRST_RADIUS);
  const asked = element("p", { class: "press" }, "Press on your subject in the picture.");
  let timer = 0;
  const changed = (): void => {
    const radius = Number(size.input.value);
    const down = radius * picture.aspect();
    const within = (input: HTMLInputElement, margin: number): number =>
      Number(Math.min(1 - margin, Math.max(margin, Number(input.value))).toFixed(4));
    // A mark at the edge is kept whole: a region lies inside its picture.
    const region = `circle:${within(x.input, radius)},${within(y.input, down)},${radius}`;
    asked.hidden = true;
    picture.showRegion(region);
    clearTimeout(timer);
    timer = window.setTimeout(() => onRegion(region), PAUSE);
  };
  picture.element.classList.add("pressable");
  picture.onPress = (across, down) => {
    x.input.value = String(across);
    y.input.value = String(down);
    changed();
  };
  for (const { input } of [x, y, size]) input.addEventListener("input", changed);
  const form = element(
    "div",
    { class: "subject" },
    asked,
    element(
      "details",
      {},
      element("summary", {}, "Move the mark or change its size"),
      x.label,
      y.label,
      size.label,
    ),
  );
  return {
    element: form,
    show: (region) => {
      const [across = "", down = "", radius = ""] = region.replace(/^circle:/, "").split(",");
      x.input.value = across;
      y.input.value = down;
      size.input.value = radius;
      asked.hidden = true;
      picture.showRegion(region);
    },
  };
}

function slider(
  name: string,
  min: number,
  max: number,
  value: number,
): { readonly label: HTMLElement; readonly input: HTMLInputElement } {
  const input = element("input", {
    type: "range",
    min: String(min),
    max: String(max),
    step: "0.005",
    value: String(value),
  });
  return { label: element("label", {}, name, input), input };
}
