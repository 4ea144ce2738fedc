import { rangeFigure } from "../pageWords.ts";
import { regionOverlay } from "../regionOverlay.ts";
import type { WallFrame } from "../wallData.ts";
import { partOfCard } from "./cards.ts";
import { drawn } from "./drawn.ts";
import { element } from "./element.ts";
import {
  ANSWERS,
  type Answer,
  answerOf,
  answerWords,
  countOf,
  type Hands,
  handsIn,
  STEPS,
  type Step,
  SUMMARY_ROWS,
  sumOf,
  truthWords,
} from "./wallLesson.ts";
import { wallRuler } from "./wallRuler.ts";

/** How a screen is left. */
export interface Ways {
  readonly go: (by: 1 | -1) => void;
  readonly leave: () => void;
}

/** A frame at one of its steps. */
export interface FrameScreen extends Ways {
  readonly frame: WallFrame;
  /** From 1, within the lesson. */
  readonly number: number;
  /** Frames of the lesson. */
  readonly count: number;
  readonly step: Step;
  readonly hands: Hands;
  readonly onHands: (hands: Hands) => void;
}

const STEP_WORDS: Readonly<Record<Step, string>> = {
  look: "Look",
  predict: "Predict",
  reveal: "Reveal",
  why: "Why",
};

const MARKS: Readonly<Record<Answer, string>> = { under: "▼", within: "●", over: "▲" };

/** One picture, one ruler, and what its step says. */
export function frameScreen(screen: FrameScreen): readonly Node[] {
  const { frame, step } = screen;
  let hands = screen.hands;
  const ruler = element("div", { class: "wall-scale" });
  const drawRuler = (): void => {
    const { width } = ruler.getBoundingClientRect();
    const type = Number.parseFloat(getComputedStyle(ruler).fontSize);
    const revealed = step === "reveal" || step === "why";
    ruler.replaceChildren(drawn(wallRuler({ frame, hands, revealed, width, type })));
  };
  const onHands = (changed: Hands): void => {
    hands = changed;
    screen.onHands(changed);
    drawRuler();
  };
  // Drawn as soon as it has a size, and whenever that changes.
  new ResizeObserver(drawRuler).observe(ruler);
  return [
    header(screen),
    element("div", { class: "wall-picture" }, picture(frame)),
    element("div", { class: "wall-words" }, ...words(screen, onHands)),
    ruler,
  ];
}

function header({ frame, number, count, step, go, leave }: FrameScreen): HTMLElement {
  return element(
    "header",
    {},
    element("p", {}, `${frame.label}, ${number} of ${count}`),
    element(
      "ol",
      { class: "wall-steps" },
      ...STEPS.map((one) =>
        element("li", one === step ? { "aria-current": "step" } : {}, STEP_WORDS[one]),
      ),
    ),
    ways({ go, leave }),
  );
}

function ways({ go, leave }: Ways): HTMLElement {
  return element(
    "p",
    { class: "wall-ways" },
    button("‹", "Back", () => go(-1)),
    button("›", "On", () => go(1)),
    button("✕", "Leave the wall", leave),
  );
}

/** A button on the wall, with a name where its text is a sign. */
export function button(text: string, label: string | null, press: () => void): HTMLElement {
  const made = element(
    "button",
    { type: "button", ...(label === null ? {} : { "aria-label": label }) },
    text,
  );
  made.addEventListener("click", press);
  return made;
}

function picture({ label, data: { id, number, region } }: WallFrame): Node {
  const source = pictureOf(id, number);
  if (!source)
    return element("p", {}, region ? `Region ${region}` : "This page holds no pictures.");
  const shown = element("img", { alt: region ? `${label}, with its region marked` : label });
  const place = element("div", { class: "wall-shown" }, shown);
  if (region) {
    shown.addEventListener("load", () => {
      const size = { width: shown.naturalWidth, height: shown.naturalHeight };
      place.append(drawn(regionOverlay([{ name: null, region }], size)));
    });
  }
  shown.src = source;
  return place;
}

/** The picture of a card as an address of data; the small one where the cards are on other pages. */
export function pictureOf(id: string, number: number): string | null {
  const small = document.querySelector(`#thumb-${number} image`);
  return cardPicture(id)?.src ?? small?.getAttribute("href") ?? null;
}

/** Whether this page has a small picture of a frame alone. */
export function isSmallAlone({ data: { id, number } }: WallFrame): boolean {
  return cardPicture(id) === null && pictureOf(id, number) !== null;
}

function cardPicture(id: string): HTMLImageElement | null {
  return partOfCard<HTMLImageElement>(id, ".picture img");
}

function words(screen: FrameScreen, onHands: (hands: Hands) => void): Node[] {
  const { frame, step, hands } = screen;
  const placed = placement(frame);
  switch (step) {
    case "look":
      return [heading("Look"), ...placed];
    case "predict":
      return [element("h2", {}, "Where did it fall?"), ...placed, counters(screen, onHands)];
    case "reveal":
      return [
        verdict(frame),
        // Not before: a caption gives the answer away.
        ...said(frame.data.caption, "wall-caption"),
        element("p", { class: "wall-file" }, frame.data.name),
        handsLine(frame, hands),
      ];
    case "why":
      return [
        verdict(frame),
        ...said(frame.data.why, "wall-why"),
        ...said(frame.data.next, "wall-next"),
      ];
  }
}

function said(sentence: string | null, kind: string): Node[] {
  return sentence === null ? [] : [element("p", { class: kind }, sentence)];
}

function heading(text: string): HTMLElement {
  return element("h2", { tabindex: "-1", "data-first": "" }, text);
}

function placement({ data: { placement } }: WallFrame): Node[] {
  if (!placement) {
    return [element("p", {}, "Nobody placed this tone. Judge it against middle grey.")];
  }
  const stops = rangeFigure(placement).replaceAll(" ", "\u00a0");
  const name = placement.text.trim();
  const named = /\p{L}{3}/u.test(name) && !/\d/.test(name);
  return [element("p", {}, "Placed ", element("strong", {}, named ? `${name}, ${stops}` : stops))];
}

function verdict(frame: WallFrame): HTMLElement {
  const answer = answerOf(frame);
  const title = heading("");
  title.className = `wall-verdict ${frame.data.placement ? (answer ?? "none") : "none"}`;
  const mark = answer === null ? "◇" : MARKS[answer];
  title.append(element("span", { "aria-hidden": "true" }, `${mark}\u00a0`), truthWords(frame));
  return title;
}

/** A count for each answer: typed, or raised and lowered by buttons and the upright arrows. */
function counters(
  { frame, hands: before, go }: FrameScreen,
  onHands: (hands: Hands) => void,
): HTMLElement {
  let hands = before;
  const said = answerWords(frame);
  const group = element("div", {
    class: "wall-hands",
    role: "group",
    "aria-label": "How many hands",
  });
  const inputs = ANSWERS.map((answer, i) => {
    const input = element("input", {
      type: "text",
      inputmode: "numeric",
      autocomplete: "off",
      "aria-label": `Hands for ${said[answer]}`,
      ...(i === 0 ? { "data-first": "" } : {}),
      value: String(hands[answer]),
    });
    const count = (to: number): void => {
      hands = { ...hands, [answer]: countOf(String(Math.max(0, to))) };
      input.value = String(hands[answer]);
      onHands(hands);
    };
    input.addEventListener("focus", () => input.select());
    input.addEventListener("input", () => {
      const typed = input.value;
      count(countOf(typed));
      // An emptied field waits for the next figure.
      if (typed === "") input.value = "";
    });
    input.addEventListener("keydown", (event) => {
      if (event.key === "ArrowUp" || event.key === "ArrowDown") {
        event.preventDefault();
        count(hands[answer] + (event.key === "ArrowUp" ? 1 : -1));
      } else if (event.key === "Enter") {
        const next = inputs[i + 1];
        if (next) next.focus();
        else go(1);
      }
    });
    group.append(
      element(
        "div",
        { class: "wall-answer", "data-answer": answer },
        element(
          "span",
          {},
          element("span", { class: "mark", "aria-hidden": "true" }, `${MARKS[answer]} `),
          said[answer],
        ),
        button("−", `One hand fewer for ${said[answer]}`, () => count(hands[answer] - 1)),
        input,
        button("+", `One hand more for ${said[answer]}`, () => count(hands[answer] + 1)),
      ),
    );
    return input;
  });
  return group;
}

function handsLine(frame: WallFrame, hands: Hands): HTMLElement {
  const raised = handsIn(hands);
  const answer = answerOf(frame);
  if (raised === 0) return element("p", {}, "Nobody predicted.");
  return element(
    "p",
    { class: "wall-right" },
    answer === null
      ? `${raised} predicted. This frame does not settle it.`
      : `${hands[answer]} of ${raised} predicted it.`,
  );
}

/** What the class predicted, frame by frame, and the lesson in one line. */
export function summaryScreen({
  frames,
  handsOf,
  page,
  go,
  leave,
}: Ways & {
  readonly frames: readonly WallFrame[];
  readonly handsOf: (frame: WallFrame) => Hands;
  readonly page: number;
}): readonly Node[] {
  const { raised, right, hardest } = sumOf(frames, handsOf);
  const rows = frames.slice(page * SUMMARY_ROWS, (page + 1) * SUMMARY_ROWS);
  const total =
    raised === 0
      ? "Nobody predicted."
      : `${right} of ${raised} predictions were right.${hardest ? ` Hardest: ${hardest.frame.label}, ${hardest.right} of ${hardest.raised}.` : ""}`;
  const table = element(
    "table",
    { class: "wall-sum" },
    element(
      "thead",
      {},
      element(
        "tr",
        {},
        ...["Frame", "▼ darker", "● placed", "▲ lighter", "It fell"].map((text) =>
          element("th", { scope: "col" }, text),
        ),
      ),
    ),
    element("tbody", {}, ...rows.map((frame) => summaryRow(frame, handsOf(frame)))),
  );
  return [
    element("header", {}, heading("What you predicted"), ways({ go, leave })),
    element("p", { class: "wall-total" }, total),
    table,
  ];
}

function summaryRow(frame: WallFrame, hands: Hands): HTMLElement {
  return element(
    "tr",
    {},
    element("th", { scope: "row" }, frame.label),
    ...ANSWERS.map((answer) =>
      element(
        "td",
        { "data-answer": answer, ...(answer === answerOf(frame) ? { class: "is-right" } : {}) },
        String(hands[answer]),
      ),
    ),
    element("td", {}, truthWords(frame)),
  );
}
