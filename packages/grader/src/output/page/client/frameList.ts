import { countText } from "../../../model/words.ts";
import type { FrameData } from "../pageData.ts";
import { CAUSE_WORDS } from "../wording.ts";
import { type Address, addressOf, hashOf } from "./address.ts";
import { drawCard, forEachCard } from "./cards.ts";
import { copyText } from "./copyText.ts";
import { element } from "./element.ts";
import { framesOfPage } from "./framesOfPage.ts";
import { picksIn, withPicks } from "./wallPicks.ts";

/** Keys for what the bar offers, outside of fields. */
const KEYS: Readonly<Record<string, (list: FrameList) => void>> = {
  j: (list) => list.step(1),
  k: (list) => list.step(-1),
  "/": () => {
    unfoldTools(true);
    document.querySelector<HTMLElement>(".tools [name=q]")?.focus();
  },
};

interface FrameList {
  /** Goes to the next or previous miss that is shown. */
  readonly step: (by: 1 | -1) => void;
}

/** Lets a reader filter, group, open and walk through the frames; the address keeps what was chosen. */
export function frameList(): void {
  const tools = document.querySelector<HTMLFormElement>(".tools");
  const frames = framesOfPage();
  if (frames.length === 0) return;
  const cards = new Map(frames.map((frame) => [frame, document.getElementById(frame.id)]));
  const cameOpen = new Map(frames.map((frame) => [frame, foldOf(cards.get(frame))?.open ?? false]));
  let address = addressOf(location.hash) ?? (addressOf("") as Address);

  function choose(change: Partial<Address>): void {
    address = { ...address, ...change };
    // What was picked for the wall stays.
    const hash = withPicks(hashOf(address), picksIn(location.hash) ?? []);
    history.replaceState(null, "", hash === "" ? location.pathname + location.search : hash);
    apply();
  }

  function apply(): void {
    const shown = frames.filter((frame) => isShown(frame, address));
    const ids = new Set(shown.map(({ id }) => id));
    for (const [frame, card] of cards) if (card) card.hidden = !ids.has(frame.id);
    for (const link of document.querySelectorAll<SVGElement>("[data-frame]")) {
      link.classList.toggle("out", !ids.has(link.dataset["frame"] ?? ""));
    }
    for (const row of document.querySelectorAll<HTMLElement>(".all-figures tbody tr")) {
      row.hidden = !ids.has(row.dataset["cards"] ?? "");
    }
    for (const link of document.querySelectorAll<HTMLElement>("[data-show]")) {
      const current = link.dataset["show"] === address.show && address.cause === "";
      link.setAttribute("aria-current", String(current));
    }
    if (tools) {
      (tools.elements.namedItem("q") as HTMLInputElement).value = address.q;
      (tools.elements.namedItem("by") as HTMLSelectElement).value = address.by;
    }
    const cause =
      address.cause === ""
        ? ""
        : `, ${CAUSE_WORDS[address.cause as keyof typeof CAUSE_WORDS] ?? ""}`;
    say(shown.length === frames.length ? "" : `${shown.length} of ${frames.length} shown${cause}`);
    group(shown, cards, address.by);
  }

  /** Opens what the address says is open, and goes where it leads. */
  function arrive(): void {
    for (const [frame, card] of cards) {
      const fold = foldOf(card);
      if (!fold) continue;
      const n = String(frame.number);
      const open =
        address.open.includes(n) || (cameOpen.get(frame) === true && !address.shut.includes(n));
      fold.open = open;
    }
    const frame = frames.find(({ id }) => id === address.at);
    if (frame) go(frame);
  }

  function go(frame: FrameData): void {
    const card = cards.get(frame);
    if (!card) {
      document
        .querySelector<SVGAElement>(`[data-frame="${frame.id}"]`)
        ?.dispatchEvent(new MouseEvent("click"));
      return;
    }
    if (!isShown(frame, address)) choose({ show: "all", cause: "", q: "" });
    const fold = foldOf(card);
    if (fold) fold.open = true;
    drawCard(card);
    card.scrollIntoView({ block: "start" });
    card.focus({ preventScroll: true });
    choose({ at: frame.id });
  }

  const step: FrameList["step"] = (by) => {
    const order = [...document.querySelectorAll(".frame")];
    const place = (frame: FrameData): number => order.indexOf(cards.get(frame) as Element);
    const misses = frames
      .filter((frame) => isMiss(frame) && isShown(frame, address))
      .sort((a, b) => place(a) - place(b));
    const last = frames.find(({ id }) => id === address.at);
    const here = last ? place(last) : -1;
    const next =
      by > 0
        ? misses.find((frame) => place(frame) > here)
        : misses.findLast((frame) => place(frame) < here);
    if (next) go(next);
    else say(by > 0 ? "That was the last miss." : "That was the first miss.");
  };

  for (const link of document.querySelectorAll<HTMLElement>("[data-show], [data-cause]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      choose({ show: link.dataset["show"] ?? "all", cause: link.dataset["cause"] ?? "", at: "" });
    });
  }
  for (const card of cards.values()) {
    foldOf(card)?.addEventListener("toggle", () => {
      const open = frames.filter((one) => foldOf(cards.get(one))?.open && !cameOpen.get(one));
      const shut = frames.filter(
        (one) => !(foldOf(cards.get(one))?.open ?? true) && cameOpen.get(one),
      );
      const numbers = (of: FrameData[]): string[] => of.map(({ number }) => String(number));
      if (
        numbers(open).join() === address.open.join() &&
        numbers(shut).join() === address.shut.join()
      )
        return;
      choose({ open: numbers(open), shut: numbers(shut) });
    });
  }
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
  addEventListener("hashchange", () => {
    const wanted = addressOf(location.hash);
    if (!wanted) return;
    // A link to one frame leaves the rest as it was chosen.
    address = /^#frame-\d+$/.test(location.hash) ? { ...address, at: wanted.at } : wanted;
    apply();
    arrive();
  });
  document.addEventListener("keydown", (event) => {
    const field = (event.target as Element).closest("input, select, textarea, dialog");
    if (field || event.ctrlKey || event.metaKey || event.altKey) return;
    const act = KEYS[event.key.toLowerCase()];
    if (!act) return;
    event.preventDefault();
    act({ step });
  });
  document.addEventListener("drawn", apply);

  if (tools) {
    tools.hidden = false;
    unfoldTools(address.q !== "" || address.by !== "");
    tools
      .querySelector(".tools-more")
      ?.addEventListener("click", ({ currentTarget }) =>
        unfoldTools((currentTarget as Element).getAttribute("aria-expanded") === "false"),
      );
    tools.addEventListener("submit", (event) => event.preventDefault());
    tools.addEventListener("input", () => {
      const given = new FormData(tools);
      choose({ q: String(given.get("q") ?? ""), by: String(given.get("by") ?? "") });
    });
    for (const button of tools.querySelectorAll<HTMLElement>("[data-step]")) {
      button.addEventListener("click", () => step(button.dataset["step"] === "1" ? 1 : -1));
    }
    tools.querySelector(".copy-all")?.addEventListener("click", async () => {
      const told = frames.filter((frame) => isShown(frame, address) && feedbackOf(frame));
      const text = told.map((frame) => `${frame.name}\n${feedbackOf(frame)}\n`).join("\n");
      say(await copyText(text, `feedback for ${countText(told.length, "frame")}`));
    });
  }
  apply();
  arrive();
}

/** On narrow screens the search, the groups and the copying show when they are asked for. */
function unfoldTools(open: boolean): void {
  document.querySelector(".tools-more")?.setAttribute("aria-expanded", String(open));
}

function foldOf(card: Element | null | undefined): HTMLDetailsElement | null {
  return card?.querySelector<HTMLDetailsElement>(".frame-fold") ?? null;
}

function isMiss({ verdict, byDesign }: FrameData): boolean {
  return (verdict === "over" || verdict === "under") && !byDesign;
}

function isShown(frame: FrameData, { show, cause, q }: Address): boolean {
  const kind = frame.failure ? "failed" : (frame.verdict ?? "none");
  return (
    (show === "all" || show === kind) &&
    (cause === "" || (isMiss(frame) && (frame.cause ?? "not-known") === cause)) &&
    frame.name.toLowerCase().includes(q.toLowerCase())
  );
}

function feedbackOf({ feedback, cautions }: FrameData): string | null {
  const voice = document.querySelector<HTMLSelectElement>(".tools [name=voice]")?.value;
  if (!feedback) return null;
  return [voice === "teacher" ? feedback.teacher : feedback.student, ...cautions].join(" ");
}

/** Puts frames in order, under headings where they are grouped. */
function group(
  shown: readonly FrameData[],
  cards: ReadonlyMap<FrameData, HTMLElement | null>,
  by: string,
): void {
  const section = document.querySelector("#frames");
  if (!section || document.querySelector(".frame") === null) return;
  const heads = section.querySelectorAll(".group-head");
  if (by === "" && heads.length === 0 && section.getAttribute("data-by") === null) return;
  for (const head of heads) head.remove();
  if (by === "") section.removeAttribute("data-by");
  else section.setAttribute("data-by", by);
  const all = [...cards.keys()];
  if (by === "" || by === "worst") {
    const order =
      by === "" ? all : [...all].sort((a, b) => urgency(b) - urgency(a) || a.number - b.number);
    section.append(...order.flatMap((frame) => cards.get(frame) ?? []));
    return;
  }
  const groups = new Map<string, FrameData[]>();
  for (const frame of all) {
    const name = by === "folder" ? frame.folder || "this folder" : causeGroup(frame);
    groups.set(name, [...(groups.get(name) ?? []), frame]);
  }
  const ordered =
    by === "folder"
      ? [...groups]
      : [...groups].sort(
          ([, a], [, b]) =>
            Number(isMiss(b[0] as FrameData)) - Number(isMiss(a[0] as FrameData)) ||
            b.length - a.length,
        );
  for (const [name, frames] of ordered) {
    const count = frames.filter((frame) => shown.includes(frame)).length;
    if (count > 0) section.append(element("h3", { class: "group-head" }, `${name}: ${count}`));
    section.append(...frames.flatMap((frame) => cards.get(frame) ?? []));
  }
}

function causeGroup(frame: FrameData): string {
  if (isMiss(frame)) return CAUSE_WORDS[frame.cause ?? "not-known"];
  if (frame.byDesign) return CAUSE_WORDS["bracket-step"];
  return frame.verdict ?? (frame.failure ? "not graded" : "measured");
}

/** Misses by their size, then frames where Tonefall cannot tell, then the rest. */
function urgency(frame: FrameData): number {
  const size = Math.abs(frame.error?.stops ?? 0);
  if (frame.failure) return 300;
  if (isMiss(frame)) return 200 + size;
  return frame.verdict === "undecided" ? 100 + size : frame.byDesign ? 50 + size : 0;
}

function say(sentence: string): void {
  const status = document.querySelector(".bar-status");
  if (status) status.textContent = sentence;
}
