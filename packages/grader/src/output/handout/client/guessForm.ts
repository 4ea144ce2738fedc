import { element } from "../../page/client/element.ts";
import { boundedFigure } from "../../page/pageWords.ts";

/** Asks where the tone fell before it is shown. */
export function guessForm(onGuess: (stops: number) => void): HTMLElement {
  const output = element("output", {}, "0.00");
  const slider = element("input", {
    type: "range",
    min: "-4",
    max: "3",
    step: "0.25",
    value: "0",
    "aria-label": "Your guess, stops from middle grey",
  });
  slider.addEventListener("input", () => {
    output.textContent = boundedFigure({ stops: Number(slider.value), bound: null });
  });
  const show = element("button", { type: "submit" }, "Show where it fell");
  const form = element(
    "form",
    { class: "guess-form" },
    element("p", {}, "Where did the subject fall, in stops from middle grey? Guess first."),
    element("p", { class: "guess-row" }, slider, output),
    show,
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    onGuess(Number(slider.value));
  });
  return form;
}
