import { countText } from "../../../model/words.ts";
import type { FrameData } from "../pageData.ts";
import { CAUSE_WORDS } from "../wording.ts";
import { type Address, addressOf, hashOf } from "./address.ts";
import { drawCard, forEachCard } from "./cards.ts";
import { copyText } from "./copyText.ts";
import { type Cards, orderCards } from "./frameGroups.ts";
import { framesOfPage } from "./framesOfPage.ts";
import { isMiss, isShown } from "./shownFrames.ts";
import { picksIn, withPicks } from "./wallPicks.ts";

/** Lets a reader filter, group, open and walk through the frames; the address keeps what was chosen. */
export function frameList(): void {
  const frames = framesOfPage();
  if (frames.length === 0) return;
  const list = new FrameList(frames);
  const tools = document.querySelector<HTMLFormElement>(".tools");
  heedLinks(list);
  heedFolds(list);
  heedAddress(list);
  heedKeys(list);
  if (tools) heedTools(tools, list);
  offerCopies(frames);
  document.addEventListener("drawn", () => list.apply());
  list.arriveAt(list.address);
}

/** The frames of a page, and what of them its reader has chosen to see. */
class FrameList {
  readonly cards: Cards;
  private readonly frames: readonly FrameData[];
  private readonly cameOpen: ReadonlySet<FrameData>;
  private chosen: Address = addressOf(location.hash) ?? (addressOf("") as Address);

  constructor(frames: readonly FrameData[]) {
    this.frames = frames;
    this.cards = new Map(frames.map((frame) => [frame, document.getElementById(frame.id)]));
    this.cameOpen = new Set(frames.filter((frame) => this.foldOf(frame)?.open));
  }

  get address(): Address {
    return this.chosen;
  }

  get shown(): FrameData[] {
    return this.frames.filter((frame) => isShown(frame, this.chosen));
  }

  choose(change: Partial<Address>): void {
    this.chosen = { ...this.chosen, ...change };
    // What was picked for the wall stays.
    const hash = withPicks(hashOf(this.chosen), picksIn(location.hash) ?? []);
    history.replaceState(null, "", hash === "" ? location.pathname + location.search : hash);
    this.apply();
  }

  /** Shows what was chosen. */
  apply(): void {
    const { shown, chosen, cards } = this;
    const ids = new Set(shown.map(({ id }) => id));
    for (const [frame, card] of cards) if (card) card.hidden = !ids.has(frame.id);
    for (const link of document.querySelectorAll<SVGElement>("[data-frame]")) {
      link.classList.toggle("out", !ids.has(link.dataset["frame"] ?? ""));
    }
    for (const row of document.querySelectorAll<HTMLElement>(".all-figures tbody tr")) {
      row.hidden = !ids.has(row.dataset["cards"] ?? "");
    }
    for (const link of document.querySelectorAll<HTMLElement>("[data-show]")) {
      const current = link.dataset["show"] === chosen.show && chosen.cause === "";
      link.setAttribute("aria-current", String(current));
    }
    const fields = document.querySelector<HTMLFormElement>(".tools")?.elements;
    if (fields) {
      (fields.namedItem("q") as HTMLInputElement).value = chosen.q;
      (fields.namedItem("by") as HTMLSelectElement).value = chosen.by;
    }
    const cause = CAUSE_WORDS[chosen.cause as keyof typeof CAUSE_WORDS] ?? "";
    const all = this.frames.length;
    const because = chosen.cause === "" ? "" : `, ${cause}`;
    say(shown.length === all ? "" : `${shown.length} of ${all} shown${because}`);
    orderCards(shown, cards, chosen.by);
  }

  /** Shows what an address says, in place of what was chosen. */
  arriveAt(address: Address): void {
    this.chosen = address;
    this.apply();
    this.arrive();
  }

  /** Opens what the address says is open, and goes where it leads. */
  arrive(): void {
    const { open, shut, at } = this.chosen;
    for (const frame of this.frames) {
      const fold = this.foldOf(frame);
      if (!fold) continue;
      const n = String(frame.number);
      fold.open = open.includes(n) || (this.cameOpen.has(frame) && !shut.includes(n));
    }
    const frame = this.frames.find(({ id }) => id === at);
    if (frame) this.go(frame);
  }

  /** Goes to the next or previous miss that is shown. */
  step(by: 1 | -1): void {
    const order = [...document.querySelectorAll(".frame")];
    const place = (frame: FrameData): number => order.indexOf(this.cards.get(frame) as Element);
    const misses = this.shown.filter(isMiss).sort((a, b) => place(a) - place(b));
    const last = this.frames.find(({ id }) => id === this.chosen.at);
    const here = last ? place(last) : -1;
    const next =
      by > 0
        ? misses.find((frame) => place(frame) > here)
        : misses.findLast((frame) => place(frame) < here);
    if (next) this.go(next);
    else say(by > 0 ? "That was the last miss." : "That was the first miss.");
  }

  /** Keeps in the address which cards are opened and shut other than the page came with. */
  keepFolds(): void {
    const numbersOf = (frames: readonly FrameData[]) => frames.map(({ number }) => String(number));
    const isOpen = (frame: FrameData) => this.foldOf(frame)?.open === true;
    const open = numbersOf(this.frames.filter((one) => isOpen(one) && !this.cameOpen.has(one)));
    const shut = numbersOf(this.frames.filter((one) => !isOpen(one) && this.cameOpen.has(one)));
    const { open: wasOpen, shut: wasShut } = this.chosen;
    if (open.join() === wasOpen.join() && shut.join() === wasShut.join()) return;
    this.choose({ open, shut });
  }

  private go(frame: FrameData): void {
    const card = this.cards.get(frame);
    if (!card) {
      document
        .querySelector<SVGAElement>(`[data-frame="${frame.id}"]`)
        ?.dispatchEvent(new MouseEvent("click"));
      return;
    }
    if (!isShown(frame, this.chosen)) this.choose({ show: "all", cause: "", q: "" });
    const fold = foldIn(card);
    if (fold) fold.open = true;
    drawCard(card);
    card.scrollIntoView({ block: "start" });
    card.focus({ preventScroll: true });
    this.choose({ at: frame.id });
  }

  private foldOf(frame: FrameData): HTMLDetailsElement | null {
    return foldIn(this.cards.get(frame));
  }
}

function heedLinks(list: FrameList): void {
  for (const link of document.querySelectorAll<HTMLElement>("[data-show], [data-cause]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      const { show = "all", cause = "" } = link.dataset;
      list.choose({ show, cause, at: "" });
    });
  }
}

function heedFolds(list: FrameList): void {
  for (const card of list.cards.values()) {
    foldIn(card)?.addEventListener("toggle", () => list.keepFolds());
  }
}

function heedAddress(list: FrameList): void {
  addEventListener("hashchange", () => {
    const wanted = addressOf(location.hash);
    if (!wanted) return;
    // A link to one frame leaves the rest as it was chosen.
    const toFrame = /^#frame-\d+$/.test(location.hash);
    list.arriveAt(toFrame ? { ...list.address, at: wanted.at } : wanted);
  });
}

/** Keys for what the bar offers, outside of fields. */
const KEYS: Readonly<Record<string, (list: FrameList) => void>> = {
  j: (list) => list.step(1),
  k: (list) => list.step(-1),
  "/": () => {
    unfoldTools(true);
    document.querySelector<HTMLElement>(".tools [name=q]")?.focus();
  },
};

function heedKeys(list: FrameList): void {
  document.addEventListener("keydown", (event) => {
    const field = (event.target as Element).closest("input, select, textarea, dialog");
    if (field || event.ctrlKey || event.metaKey || event.altKey) return;
    const act = KEYS[event.key.toLowerCase()];
    if (!act) return;
    event.preventDefault();
    act(list);
  });
}

function heedTools(tools: HTMLFormElement, list: FrameList): void {
  tools.hidden = false;
  unfoldTools(list.address.q !== "" || list.address.by !== "");
  tools
    .querySelector(".tools-more")
    ?.addEventListener("click", ({ currentTarget }) =>
      unfoldTools((currentTarget as Element).getAttribute("aria-expanded") === "false"),
    );
  tools.addEventListener("submit", (event) => event.preventDefault());
  tools.addEventListener("input", () => {
    const given = new FormData(tools);
    list.choose({ q: String(given.get("q") ?? ""), by: String(given.get("by") ?? "") });
  });
  for (const button of tools.querySelectorAll<HTMLElement>("[data-step]")) {
    button.addEventListener("click", () => list.step(button.dataset["step"] === "1" ? 1 : -1));
  }
  tools.querySelector(".copy-all")?.addEventListener("click", async () => {
    const told = list.shown.filter(feedbackOf);
    const text = told.map((frame) => `${frame.name}\n${feedbackOf(frame)}\n`).join("\n");
    say(await copyText(text, `feedback for ${countText(told.length, "frame")}`));
  });
}

/** A button on each card that copies its feedback. */
function offerCopies(frames: readonly FrameData[]): void {
  const byId = new Map(frames.map((frame) => [frame.id, frame]));
  forEachCard((card) => {
    const copy = card.querySelector<HTMLButtonElement>(".copy-one");
    const frame = byId.get(card.id);
    if (!copy || !frame) return;
    copy.hidden = false;
    copy.addEventListener("click", async () => {
      const text = feedbackOf(frame);
      if (text) copy.textContent = await copyText(text, "feedback");
    });
  });
}

/** On narrow screens the search, the groups and the copying show when they are asked for. */
function unfoldTools(open: boolean): void {
  document.querySelector(".tools-more")?.setAttribute("aria-expanded", String(open));
}

function foldIn(card: Element | null | undefined): HTMLDetailsElement | null {
  return card?.querySelector<HTMLDetailsElement>(".frame-fold") ?? null;
}

function feedbackOf({ feedback, cautions }: FrameData): string | null {
  const voice = document.querySelector<HTMLSelectElement>(".tools [name=voice]")?.value;
  if (!feedback) return null;
  return [voice === "teacher" ? feedback.teacher : feedback.student, ...cautions].join(" ");
}

function say(sentence: string): void {
  const status = document.querySelector(".bar-status");
  if (status) status.textContent = sentence;
}
