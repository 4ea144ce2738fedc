import { element } from "../../page/client/element.ts";
import { html } from "../../page/markup.ts";
import type { ExerciseTask } from "../exercise.ts";
import type { HandoutData } from "../handoutData.ts";
import type { ChosenFrame } from "./chosenFrame.ts";
import { fileChecks } from "./fileChecks.ts";
import { type FrameCard, frameCard } from "./frameCard.ts";
import type { GraderLink } from "./graderLink.ts";
import { slipOf } from "./slipOf.ts";
import { taskPanel } from "./taskPanel.ts";

/** A student's code: letters, digits, and what joins them. */
const CODE = /[^\p{L}\p{N}._-]+/gu;

/** Most characters of a student's code. */
const MOST_CODE = 40;

/** Fills a hand-in page with its tasks, and keeps it up to date with what the student chooses. */
export function studentPage(data: HandoutData, link: GraderLink): void {
  const { exercise, hideVerdict } = data;
  const frames: ChosenFrame[] = [];
  const cards = new Map<ChosenFrame, FrameCard>();
  const tasks = document.getElementById("tasks") as HTMLElement;
  const handIn = document.getElementById("hand-in") as HTMLElement;

  const guess = element("input", { type: "checkbox" });
  if (!hideVerdict) {
    tasks.append(
      element("p", { class: "guessing" }, element("label", {}, guess, "Let me guess before I see")),
    );
  }

  const seenBefore = (frame: ChosenFrame): boolean =>
    frames
      .slice(0, frames.indexOf(frame))
      .some(({ graded }) => graded?.sha256 === frame.graded?.sha256);

  const grade = async (frame: ChosenFrame): Promise<void> => {
    const card = cards.get(frame);
    if (!card) return;
    const { file, task, region } = frame;
    // Where the student marks the subject, the file is looked at first, and measured when the mark is there.
    const { place: _place, ...unplaced } = task.brief;
    const brief = task.regionOpen
      ? region === null
        ? unplaced
        : { ...task.brief, region }
      : task.brief;
    card.showStep("waiting");
    const graded = await link
      .grade(file, brief, {
        step: (step) => card.showStep(step),
        preview: (preview) => card.picture.showPreview(preview),
      })
      .catch(() => null);
    if (!graded) {
      card.showLost();
      return;
    }
    // Another mark was set meanwhile, or the picture is gone: that grading's answer counts.
    if (frame.region !== region || !cards.has(frame)) return;
    frame.graded = graded;
    card.showResult(seenBefore(frame));
    stand.update();
  };

  const add = (task: ExerciseTask, place: HTMLElement, file: File): void => {
    const frame: ChosenFrame = { task, file, region: null, predictedStops: null, graded: null };
    const card = frameCard(frame, {
      hideVerdict,
      show: link.show,
      guessing: () => guess.checked,
      onRegion: (changed) => void grade(changed),
      onRemove: (gone) => {
        frames.splice(frames.indexOf(gone), 1);
        cards.get(gone)?.element.remove();
        cards.delete(gone);
        stand.update();
      },
      onChange: () => stand.update(),
    });
    frames.push(frame);
    cards.set(frame, card);
    place.append(card.element);
    stand.update();
    void grade(frame);
  };

  const stand = handInPanel(data, frames, handIn);
  for (const [i, task] of exercise.tasks.entries()) {
    const panel = taskPanel(task, i + 1, (files) => {
      for (const file of files) add(task, panel.frames, file);
    });
    tasks.append(panel.element);
  }
  stand.update();
}

/** What is still missing, the student's code, and the slip. */
function handInPanel(
  data: HandoutData,
  frames: readonly ChosenFrame[],
  place: HTMLElement,
): { update(): void } {
  const missing = element("div", { role: "status" });
  const code = element("input", { type: "text", autocomplete: "off", id: "student", size: "12" });
  code.setAttribute("maxlength", String(MOST_CODE));
  const save = element("button", { type: "button", class: "save" }, "Save the slip");
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
    element(
      "p",
      { class: "quiet small" },
      "The slip is a small file with the figures of your pictures and no picture, place or name in it. It is not signed. Hand it in together with the original pictures.",
    ),
  );
  place.append(panel);
  code.addEventListener("input", () => {
    const clean = code.value.replace(CODE, "");
    if (clean !== code.value) code.value = clean;
  });
  save.addEventListener("click", () => {
    const ordered = data.exercise.tasks.flatMap((task) =>
      frames.filter((frame) => frame.task === task),
    );
    const slip = slipOf(data, code.value.slice(0, MOST_CODE), ordered, new Date());
    const text = `${JSON.stringify(slip, null, 2)}\n`;
    const url = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    const name = [data.exercise.name, slip.student ?? "slip"]
      .join("-")
      .replace(/[^\p{L}\p{N}]+/gu, "-")
      .slice(0, 80);
    element("a", { href: url, download: `${name}.json` }).click();
    setTimeout(() => URL.revokeObjectURL(url), 60_000);
  });
  const update = (): void => {
    const open = stillMissing(data, frames);
    missing.innerHTML =
      html`${open.length === 0 ? html`<p class="ready"><span class="mark" aria-hidden="true">●</span> Everything is there.</p>` : html`<p>Still missing:</p><ul>${open.map((text) => html`<li>${text}</li>`)}</ul>`}`.text;
    save.disabled = frames.every(({ graded }) => graded === null);
  };
  return { update };
}

/** What an exercise still waits for, in sentences. */
function stillMissing({ exercise }: HandoutData, frames: readonly ChosenFrame[]): string[] {
  return exercise.tasks.flatMap((task) => {
    const own = frames.filter((frame) => frame.task === task);
    const atWork = own.filter(({ graded }) => graded === null);
    if (atWork.length > 0) return [`${task.title}: being measured`];
    const unmarked = own.filter(({ region }) => task.regionOpen && region === null);
    if (unmarked.length > 0)
      return [`${task.title}: press on the subject of ${unmarked[0]?.file.name}`];
    const counting = own.filter(
      ({ graded }) => graded && fileChecks(graded.row, false).every(({ counts }) => counts),
    );
    const wanted = task.frames ?? 1;
    if (counting.length >= wanted) return [];
    if (own.length > counting.length)
      return [`${task.title}: an original picture with its settings`];
    const left = wanted - counting.length;
    return [`${task.title}: ${left === 1 ? "a picture" : `${left} pictures`}`];
  });
}
