import type { FrameData } from "../pageData.ts";
import { ruler } from "../ruler.ts";
import { partOfCard } from "./cards.ts";
import { drawn } from "./drawn.ts";
import { element } from "./element.ts";
import { framesOfPage } from "./framesOfPage.ts";

/**
 * Prints the page as paper is read: the overview, what missed two to a page, the rest as a contact sheet; tables and frames
 * side by side where somebody asks for them.
 */
export function printPage(): void {
  let paper: HTMLElement | null = null;
  addEventListener("beforeprint", () => {
    paper?.remove();
    nameMargins();
    paper = printed();
    document.querySelector("main")?.append(paper);
  });
  addEventListener("afterprint", () => {
    paper?.remove();
    paper = null;
  });
  const ways = document.querySelector<HTMLElement>(".print-ways");
  if (!ways) return;
  ways.hidden = false;
  ways.querySelector("button")?.addEventListener("click", () => print());
  ways.querySelector("input")?.addEventListener("change", ({ target }) => {
    const asked = (target as HTMLInputElement).checked;
    document.documentElement.classList.toggle("prints-tables", asked);
    // Opened now, since it is drawn when it is opened.
    const figures = document.querySelector<HTMLDetailsElement>(".all-figures");
    if (figures) figures.open = asked;
  });
}

/** Every sheet of paper carries the page's title and date in its margin; the style puts them there. */
function nameMargins(): void {
  const { style } = document.documentElement;
  const quoted = (text: string): string => `"${text.replace(/["\\\n]/g, "\\$&")}"`;
  const date =
    document.querySelector(".page-top time")?.textContent ??
    new Date().toLocaleDateString("en-GB", { dateStyle: "long" });
  style.setProperty("--print-title", quoted(document.querySelector("h1")?.textContent ?? ""));
  style.setProperty("--print-date", quoted(date));
}

function printed(): HTMLElement {
  const frames = framesOfPage();
  if (frames.length === 0) return element("div", { class: "print-out" }, contactSheet(keptCards()));
  const graded = frames.filter(({ failure }) => failure === null);
  const missed = graded.filter(needsEyes);
  const rest = graded.filter((frame) => !needsEyes(frame));
  return element(
    "div",
    { class: "print-out" },
    ...missed.map(printedMiss),
    contactSheet(
      rest.map(({ id, number, name, headline }) => ({ id, title: `${number} ${name}`, headline })),
    ),
    ...failures(frames.filter(({ failure }) => failure !== null)),
  );
}

function needsEyes({ verdict, byDesign }: FrameData): boolean {
  return verdict !== null && verdict !== "within" && !byDesign;
}

/** Frames without a grade, a line each. */
function failures(frames: readonly FrameData[]): HTMLElement[] {
  if (frames.length === 0) return [];
  return [
    element("h2", {}, "Not graded"),
    element(
      "ul",
      { class: "print-failures" },
      ...frames.map(({ number, name, failure }) =>
        element("li", {}, element("strong", {}, `${number} ${name}`), `: ${failure}.`),
      ),
    ),
  ];
}

function printedMiss(frame: FrameData): HTMLElement {
  const { id, number, name, verdict, headline, settings, lane, end, why, next, cautions } = frame;
  const picture = pictureOf(id);
  return element(
    "article",
    { class: "print-miss" },
    element("h2", {}, `${number} ${name}`),
    ...(picture ? [picture] : []),
    element(
      "div",
      { class: "print-words" },
      element("p", { class: `print-verdict ${verdict ?? "none"}` }, headline),
      ...said("", settings),
      ...said("", why),
      ...said("print-next", next),
      ...cautions.map((caution) => element("p", { class: "small" }, caution)),
    ),
    ...(lane ? [drawn(ruler(headline, [lane], end))] : []),
  );
}

function said(kind: string, sentence: string | null): HTMLElement[] {
  return sentence ? [element("p", { class: kind }, sentence)] : [];
}

/** A small picture in the contact sheet. */
interface Tile {
  /** Of the card. */
  readonly id: string;
  readonly title: string;
  readonly headline: string;
}

/** Cards of a check of which every claim is kept. */
function keptCards(): Tile[] {
  const cards = [...document.querySelectorAll<HTMLElement>("article.frame[data-open='0']")];
  return cards.map((card) => ({
    id: card.id,
    title: card.querySelector("h3")?.textContent ?? "",
    headline: partOfCard(card.id, ".verdict")?.textContent ?? "",
  }));
}

function contactSheet(tiles: readonly Tile[]): HTMLElement {
  return element(
    "ul",
    { class: "print-contact" },
    ...tiles.map(({ id, title, headline }) => {
      const picture = pictureOf(id);
      return element(
        "li",
        {},
        ...(picture ? [picture] : []),
        element("p", { class: "print-name" }, title),
        element("p", { class: "small" }, headline),
      );
    }),
  );
}

/** The picture of a card with its region, as it stands there. */
function pictureOf(id: string): Node | null {
  return partOfCard(id, ".picture .surround")?.cloneNode(true) ?? null;
}
