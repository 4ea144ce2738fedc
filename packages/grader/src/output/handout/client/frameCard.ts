import { decidedError } from "../../../model/decidedError.ts";
import type { FrameResult } from "../../../model/result.ts";
import { settingsText } from "../../../model/words.ts";
import { element } from "../../page/client/element.ts";
import { html } from "../../page/markup.ts";
import { boundedFigure, sizeWords, typeset } from "../../page/pageWords.ts";
import { ruler, rulerKey } from "../../page/ruler.ts";
import { laneOf, scaleEnd } from "../../page/stopScalePlot.ts";
import { VERDICT_MARKS } from "../../page/wording.ts";
import type { ChosenFrame } from "./chosenFrame.ts";
import { type FileCheck, fileChecks } from "./fileChecks.ts";
import { guessForm } from "./guessForm.ts";
import type { Step } from "./messages.ts";
import { type PictureView, pictureView } from "./pictureView.ts";
import { subjectForm } from "./subjectForm.ts";

/** How a page shows what becomes of its pictures. */
export interface CardOptions {
  readonly hideVerdict: boolean;
  /** The picture in a file as the browser shows it. */
  readonly show: (file: File) => Promise<ImageBitmap | null>;
  /** Whether the student guesses first. */
  readonly guessing: () => boolean;
  /** Called when the student marks a subject: the picture is to be graded again. */
  readonly onRegion: (frame: ChosenFrame) => void;
  readonly onRemove: (frame: ChosenFrame) => void;
  /** Called when the student has guessed. */
  readonly onChange: () => void;
}

/** The card of one picture, and ways to bring it up to date. */
export interface FrameCard {
  readonly element: HTMLElement;
  readonly picture: PictureView;
  showStep(step: Step | "waiting"): void;
  showResult(seenBefore: boolean): void;
  showLost(): void;
  /** Shows a mark of the subject that was set before. */
  showMark(region: string): void;
}

const STEPS: Readonly<Record<Step | "waiting", string>> = {
  waiting: "Waiting for the pictures before it \u2026",
  reading: "Reading the file \u2026",
  decoding: "Opening the picture \u2026",
  measuring: "Measuring the tone \u2026",
};

/** A card with the picture, and below it first how far it is, then what was found. */
export function frameCard(frame: ChosenFrame, options: CardOptions): FrameCard {
  const { task, file } = frame;
  const picture = pictureView(options.show(file), file.name);
  const state = element("p", { class: "state", role: "status" });
  const found = element("div", { class: "found" });
  const remove = element("button", { type: "button", class: "remove" }, "Remove");
  remove.setAttribute("aria-label", `Remove ${file.name}`);
  remove.addEventListener("click", () => options.onRemove(frame));
  const subject = task.regionOpen
    ? subjectForm(picture, (region) => {
        frame.region = region;
        picture.showRegion(region);
        options.onRegion(frame);
      })
    : null;
  const name = element("h3", { class: "frame-name" }, file.name);
  const card = element(
    "article",
    { class: "frame", "aria-label": file.name },
    element("div", { class: "frame-head" }, name, remove),
    picture.element,
    ...(subject ? [subject.element] : []),
    state,
    found,
  );

  const showVerdict = (row: FrameResult, unreadable: boolean): void => {
    const asks = options.guessing() && frame.predictedStops === null && row.fall !== null;
    if (!asks) {
      if (!unreadable || row.fall) found.innerHTML += resultOf(row, frame).text;
      return;
    }
    const form = guessForm((stops) => {
      frame.predictedStops = stops;
      form.remove();
      found.innerHTML += resultOf(row, frame).text;
      // The button that was pressed is gone: whoever works by keys reads on where it was.
      found.querySelector<HTMLElement>(".verdict")?.focus();
      options.onChange();
    });
    found.append(form);
  };

  return {
    element: card,
    picture,
    showStep: (step) => {
      state.textContent = STEPS[step];
      card.setAttribute("aria-busy", "true");
    },
    showMark: (region) => subject?.show(region),
    showLost: () => {
      state.textContent =
        "An error in Tonefall itself stopped this picture. Hand in the file, and tell your teacher.";
      card.removeAttribute("aria-busy");
    },
    showResult: (seenBefore) => {
      state.textContent = "";
      card.removeAttribute("aria-busy");
      const row = frame.graded?.row;
      if (!row) return;
      const checks = fileChecks(row, seenBefore);
      const has = (code: FileCheck["code"]): boolean => checks.some((check) => check.code === code);
      const unread = has("unreadable");
      if (subject) subject.element.hidden = unread;
      picture.element.hidden = unread && !picture.isShown();
      found.innerHTML =
        html`${checks.map(({ code, text }) => html`<p class="check" data-code="${code}">${text}</p>`)}${unread || has("stripped") ? null : settingsLine(row)}`.text;
      const unmarked = task.regionOpen && frame.region === null && !unread;
      card.dataset["region"] = unmarked ? "" : (row.region ?? "");
      if (unmarked) return;
      if (row.region) picture.showRegion(row.region);
      if (!options.hideVerdict) showVerdict(row, unread);
      else if (checks.every(({ counts }) => counts)) found.innerHTML += READY.text;
    },
  };
}

const READY = html`<p class="ready"><span class="mark" aria-hidden="true">●</span> This picture is ready to hand in. Your teacher's marks come later.</p>`;

function settingsLine({ exposure }: FrameResult): ReturnType<typeof html> | null {
  return exposure && html`<p class="settings">Settings: ${settingsText(exposure)}</p>`;
}

/** Verdict, reason and next step, then the ruler. */
function resultOf(
  row: FrameResult,
  { predictedStops, task }: ChosenFrame,
): ReturnType<typeof html> {
  const { failure, fall, verdict, feedback } = row;
  if (!fall) {
    return html`${failure && html`<p class="check">${failure.message}.</p>`}`;
  }
  const guess =
    predictedStops === null
      ? null
      : html`<p class="guess">You guessed ${boundedFigure({ stops: predictedStops, bound: null })}; it fell at ${boundedFigure(fall)}.</p>`;
  const lane = laneOf({ row });
  return html`<p class="verdict ${verdict ?? "none"}" tabindex="-1">${verdict === null ? "Measured" : html`<span class="mark" aria-hidden="true">${VERDICT_MARKS[verdict] ?? ""}</span> ${verdictWords(row)}`}</p>
${guess}${feedback ? html`<p class="why">${typeset(feedback.text).replace("towards - ", "towards − ")}</p>` : null}
<figure class="plot">${ruler(`Where the tone fell: ${boundedFigure(fall)} stops from middle grey`, [lane], scaleEnd(row))}${rulerKey([lane])}</figure>
${(feedback?.cautions ?? []).filter((caution) => !task.cautions.includes(caution)).map((caution) => html`<p class="caution">${caution}</p>`)}
${notesOf(row)}`;
}

/** What the student reads first: by how much, in words. */
function verdictWords({ verdict, error }: FrameResult): string {
  if (verdict === "within") return "Where it was placed";
  if (verdict === "undecided" || !error) return "Cannot tell";
  const { stops, bound } = decidedError(error);
  const size = sizeWords(stops);
  const direction = verdict === "over" ? "lighter" : "darker";
  if (size === null) return `A little ${direction}`;
  return `${bound === null ? "" : "At least "}${size} ${direction}`;
}

/** Notes for a student: those of the reader and the measurement, folded. */
function notesOf({ notes }: FrameResult): ReturnType<typeof html> | null {
  const told = notes.filter(({ code }) => code !== "no-metadata");
  if (told.length === 0) return null;
  return html`<details class="notes"><summary>About this file (${told.length})</summary><ul>${told.map(({ message }) => html`<li>${typeset(message)}</li>`)}</ul></details>`;
}
