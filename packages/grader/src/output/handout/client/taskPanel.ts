import { element } from "../../page/client/element.ts";
import { html } from "../../page/markup.ts";
import { typeset } from "../../page/pageWords.ts";
import type { ExerciseTask } from "../exercise.ts";

/** A task with its words and the place for its pictures. */
export interface TaskPanel {
  readonly element: HTMLElement;
  /** Where the cards of its pictures stand, side by side where there is room. */
  readonly frames: HTMLElement;
  /** What opens the choice of files. */
  readonly input: HTMLInputElement;
  /** Names pictures that are to be chosen again, since the page was loaded again. */
  showWanted(names: readonly string[]): void;
}

/**
 * A task in the exercise's words, and a way to choose pictures for it.
 *
 * The file input names no types: a phone that is asked for pictures hands out re-encoded copies.
 */
export function taskPanel(
  task: ExerciseTask,
  number: number,
  onFiles: (files: readonly File[]) => void,
): TaskPanel {
  const id = `task-${number}`;
  const input = element("input", { type: "file", multiple: "", id, class: "unseen" });
  const choose = element("label", { for: id, class: "choose" }, "Choose pictures");
  choose.append(element("span", { class: "unseen" }, ` for ${task.title}`));
  const frames = element("div", { class: "frames" });
  const panel = element("section", { class: "panel task", "aria-labelledby": `${id}-title` });
  panel.innerHTML =
    html`<h2 id="${id}-title">${task.title}</h2><p class="asked">${askedWords(task)}</p>${task.cautions.map((caution) => html`<p class="caution">${caution}</p>`)}`.text;
  const wanted = element("p", { class: "check wanted", hidden: "" });
  panel.append(
    element(
      "p",
      { class: "choosing" },
      input,
      choose,
      element("span", { class: "quiet small" }, "or drop them here. Choose the original files."),
    ),
    wanted,
    frames,
  );
  input.addEventListener("change", () => {
    onFiles([...(input.files ?? [])]);
    // The same file may be chosen again after it was removed.
    input.value = "";
  });
  panel.addEventListener("dragover", (event) => {
    event.preventDefault();
    panel.classList.add("dropping");
  });
  panel.addEventListener("dragleave", () => panel.classList.remove("dropping"));
  panel.addEventListener("drop", (event) => {
    event.preventDefault();
    panel.classList.remove("dropping");
    onFiles([...(event.dataTransfer?.files ?? [])]);
  });
  const showWanted = (names: readonly string[]): void => {
    wanted.hidden = names.length === 0;
    wanted.textContent = `The page was loaded again, and a page cannot open files by itself. Choose ${names.length === 1 ? "this picture" : "these pictures"} again, and your marks and guesses are back: ${names.join(", ")}.`;
  };
  return { element: panel, frames, input, showWanted };
}

function askedWords({ brief, placed, regionOpen, frames }: ExerciseTask): string {
  const count = frames === null ? "" : `${frames === 1 ? "One picture" : `${frames} pictures`}. `;
  const named =
    typeof brief.place === "string" && /[a-z]{3}/i.test(brief.place) ? ` (${brief.place})` : "";
  const place =
    placed === null
      ? "No placement is asked for: see where the tone falls"
      : `Place the subject ${placed === "0" ? "at middle grey" : `at ${placed} stops from middle grey`}${named}`;
  const region = regionOpen
    ? "Press on your subject once the picture is there"
    : regionWords(brief.region);
  return typeset(`${count}${place}. ${region}.`);
}

function regionWords(region: unknown): string {
  if (region === "spot") return "The subject is in the middle: the spot is measured";
  if (region === "whole") return "The whole picture is measured";
  return "The subject lies where the outline will show";
}
