import { element } from "../../page/client/element.ts";
import { html } from "../../page/markup.ts";
import type { HandoutData } from "../handoutData.ts";
import type { ChosenFrame } from "./chosenFrame.ts";
import { slipOf } from "./slipOf.ts";
import { standing } from "./standing.ts";
import type { TabMemory } from "./tabMemory.ts";

/** What a student's code has not: it has letters, digits, and what joins them. */
const NOT_OF_CODE = /[^\p{L}\p{N}._-]+/gu;

/** Most characters of a student's code. */
const MOST_CODE = 40;

/** How long a browser may take to save a slip, in milliseconds. */
const SAVING = 60_000;

/**
 * What is still missing, the student's code, and the slip.
 *
 * @param seenBefore - whether a frame's file was chosen before it
 * @param memory - of the tab: what is here is kept while the page is loaded again
 */
export function handInPanel(
  data: HandoutData,
  frames: readonly ChosenFrame[],
  seenBefore: (frame: ChosenFrame) => boolean,
  memory: TabMemory,
  place: HTMLElement,
): { update(): void } {
  const missing = element("div", { role: "status" });
  const code = element("input", { type: "text", autocomplete: "off", id: "student", size: "12" });
  code.setAttribute("maxlength", String(MOST_CODE));
  code.value = memory.code;
  const save = element("button", { type: "button", class: "save" }, "Save the slip");
  const saved = element("p", { class: "saved", role: "status" });
  const panel = element(
    "section",
    { class: "panel", "aria-labelledby": "hand-in-title" },
    element("h2", { id: "hand-in-title" }, "Hand in"),
    missing,
    element(
      "p",
      {},
      element("label", { for: "student" }, "Your code, as your teacher gave it "),
      code,
    ),
    element("p", {}, save),
    saved,
    element(
      "p",
      { class: "quiet small" },
      "The slip is a small file with the figures of your pictures and no picture, place or name in it. It is not signed. Hand it in together with the original pictures.",
    ),
  );
  place.append(panel);

  let unsaved = false;
  const show = (): void => {
    const { open, left } = standing(data.exercise, frames, seenBefore, code.value);
    missing.innerHTML =
      html`${open.length === 0 ? html`<p class="ready"><span class="mark" aria-hidden="true">●</span> Everything is there.</p>` : html`<p>Still missing:</p><ul>${open.map((text) => html`<li>${text}</li>`)}</ul>`}${left.map((text) => html`<p class="quiet small">${text}</p>`)}`.text;
    save.disabled = frames.every(({ graded }) => graded === null);
  };
  const update = (): void => {
    unsaved = frames.length > 0;
    saved.textContent = "";
    memory.keep(code.value, frames);
    show();
  };
  code.addEventListener("input", () => {
    const clean = code.value.replace(NOT_OF_CODE, "");
    if (clean !== code.value) code.value = clean;
    update();
  });
  save.addEventListener("click", () => {
    const ordered = data.exercise.tasks.flatMap((task) =>
      frames.filter((frame) => frame.task === task),
    );
    const slip = slipOf(data, code.value.slice(0, MOST_CODE), ordered, new Date());
    const name = nameOf(data.exercise.name, slip.student);
    download(name, `${JSON.stringify(slip, null, 2)}\n`);
    unsaved = false;
    saved.textContent = `Saved ${name}. Hand it in with ${picturesOf(ordered)}.`;
  });
  // Nothing is kept beyond the tab: it is not closed by mistake.
  window.addEventListener("beforeunload", (event) => {
    if (unsaved) event.preventDefault();
  });
  return { update };
}

function nameOf(exercise: string, student: string | null): string {
  const words = [exercise, student ?? "slip"].join("-").replace(/[^\p{L}\p{N}]+/gu, "-");
  return `${words.slice(0, 80)}.json`;
}

function download(name: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  element("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), SAVING);
}

/** Most pictures that are called by their names. */
const MOST_NAMED = 4;

function picturesOf(frames: readonly ChosenFrame[]): string {
  const names = frames.filter(({ graded }) => graded).map(({ file }) => file.name);
  if (names.length > MOST_NAMED) return `your ${names.length} pictures`;
  const last = names.at(-1) ?? "";
  return names.length < 2 ? last : `${names.slice(0, -1).join(", ")} and ${last}`;
}
