import type { WallFrame } from "../wallData.ts";
import { element } from "./element.ts";
import { framesOfPage } from "./framesOfPage.ts";
import { type Hands, NO_HANDS, type Place, placesOf } from "./wallLesson.ts";
import { wallPicker } from "./wallPicker.ts";
import { picksIn, withPicks } from "./wallPicks.ts";
import { frameScreen, summaryScreen } from "./wallScreens.ts";

/** Frames of the page's cards and sheets, by their keys. */
type Frames = ReadonlyMap<string, WallFrame>;

/** Shows the page's frames on a wall, one at a time; the class guesses before it sees where the tone fell. */
export function wall(): void {
  const frames = framesOnPage();
  if (frames.size === 0) return;
  const hands = new Map<string, Hands>();
  const open = (keys: readonly string[] | null): void => {
    if (!document.querySelector(".wall")) openWall(frames, keys, hands);
  };
  for (const button of document.querySelectorAll<HTMLButtonElement>("button.wall-open")) {
    button.hidden = false;
    button.addEventListener("click", () => open(keysOf(button)));
  }
  const lesson = document.querySelector<HTMLButtonElement>("button.wall-open[data-begins]");
  const first = (): readonly string[] | null =>
    picksIn(location.hash) ?? (lesson && keysOf(lesson));
  addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() !== "p" || isTyping(event) || isChord(event)) return;
    event.preventDefault();
    open(first());
  });
  // An address that leads to a part of the page shows that part.
  const isBare = location.hash === "" || picksIn(location.hash) !== null;
  if (lesson && isBare) open(first());
}

/** The frames that a button shows; null where the speaker is to pick them. */
function keysOf({ dataset }: HTMLButtonElement): readonly string[] | null {
  return dataset["wall"]?.split(",") ?? null;
}

/** Frames with a tone: of cards, of claims, and of sheets, which ask something of their own. */
function framesOnPage(): Frames {
  const cards = framesOfPage().map((data) => ({
    key: String(data.number),
    label: `Frame ${data.number}`,
    data,
  }));
  const asked = [...document.querySelectorAll("script.wall-data")].flatMap(
    ({ textContent }) => JSON.parse(textContent ?? "[]") as WallFrame[],
  );
  const frames = [...cards, ...asked].filter(({ data }) => data.fall);
  return new Map(frames.map((frame) => [frame.key, frame]));
}

function isTyping({ target }: KeyboardEvent): boolean {
  return target instanceof Element && target.matches("input, textarea, select");
}

function isChord({ ctrlKey, metaKey, altKey }: KeyboardEvent): boolean {
  return ctrlKey || metaKey || altKey;
}

/** Keys that lead on and back: of a keyboard, and of what a speaker holds in the hand. */
const WAYS: Readonly<Record<string, 1 | -1>> = {
  ArrowRight: 1,
  ArrowDown: 1,
  " ": 1,
  PageDown: 1,
  ArrowLeft: -1,
  ArrowUp: -1,
  PageUp: -1,
};

/**
 * Covers the page with the wall.
 *
 * @param keys - of the frames to show; null to let the speaker pick them first
 */
function openWall(all: Frames, keys: readonly string[] | null, kept: Map<string, Hands>): void {
  let lesson: readonly WallFrame[] = [];
  let places: readonly Place[] = [];
  let at = 0;
  const { root, leave } = cover();

  const show = (step: string, nodes: readonly Node[]): void => {
    root.dataset["step"] = step;
    root.replaceChildren(...nodes);
    root.querySelector<HTMLElement>("[data-first]")?.focus({ preventScroll: true });
  };
  const showPlace = (): void => {
    const place = places[at] as Place;
    const handsOf = ({ key }: WallFrame): Hands => kept.get(key) ?? NO_HANDS;
    if ("summary" in place) {
      const nodes = summaryScreen({ frames: lesson, handsOf, page: place.summary, go, leave });
      show("summary", nodes);
      return;
    }
    const frame = lesson[place.frame] as WallFrame;
    const nodes = frameScreen({
      frame,
      number: place.frame + 1,
      count: lesson.length,
      step: place.step,
      hands: handsOf(frame),
      onHands: (hands) => kept.set(frame.key, hands),
      go,
      leave,
    });
    show(place.step, nodes);
  };
  const go = (by: 1 | -1): void => {
    if (at + by < 0) pick(lesson);
    else if (at + by < places.length) {
      at += by;
      showPlace();
    }
  };
  const begin = (frames: readonly WallFrame[]): void => {
    lesson = frames;
    places = placesOf(frames);
    at = 0;
    showPlace();
  };
  const pick = (picked: readonly WallFrame[]): void => {
    places = [];
    show("pick", wallPicker({ frames: onCards(all), picked, onPick: keepPicks, begin, leave }));
  };

  root.addEventListener("keydown", (event) => {
    // The page below has keys of its own.
    event.stopPropagation();
    const way = WAYS[event.key];
    // In a field, the upright arrows count hands.
    const counts = event.target instanceof HTMLInputElement && /^Arrow(Up|Down)$/.test(event.key);
    if (event.key !== "Escape" && (places.length === 0 || !way || counts || isChord(event))) return;
    event.preventDefault();
    if (way) go(way);
    else leave();
  });
  const named = (keys ?? []).flatMap((key) => all.get(key) ?? []);
  if (named.length > 0) begin(named);
  else pick([]);
}

/** What there is to pick from: frames of cards; those of sheets, which repeat them, only where there is no other. */
function onCards(all: Frames): readonly WallFrame[] {
  const frames = [...all.values()];
  const cards = frames.filter(({ key }) => !key.includes("sheet-"));
  return cards.length > 0 ? cards : frames;
}

/** Keeps the picked frames in the page's address, so that a copied link shows them again. */
function keepPicks(frames: readonly WallFrame[]): void {
  const keys = frames.map(({ key }) => key);
  const address = new URL(location.href);
  address.hash = withPicks(location.hash, keys);
  history.replaceState(null, "", address);
}

/** Lays an empty wall over the page, on the full screen where the browser allows it. */
function cover(): { readonly root: HTMLElement; readonly leave: () => void } {
  const before = document.activeElement;
  const page = [...document.body.children];
  const root = element("div", {
    class: "wall",
    role: "dialog",
    "aria-modal": "true",
    "aria-label": "On the wall",
  });
  const leave = (): void => {
    root.remove();
    for (const part of page) part.removeAttribute("inert");
    document.documentElement.classList.remove("has-wall");
    if (document.fullscreenElement) document.exitFullscreen();
    if (before instanceof HTMLElement) before.focus();
  };
  document.body.append(root);
  for (const part of page) part.setAttribute("inert", "");
  document.documentElement.classList.add("has-wall");
  // On a full screen the browser keeps Escape to itself, and leaves that alone.
  root.addEventListener("fullscreenchange", () => !document.fullscreenElement && leave());
  // Where no full screen is allowed, the wall fills the window.
  const fill = (): void => {
    root.requestFullscreen?.().catch(() => {});
  };
  // A page that opens on the wall has to wait for the first press: browsers allow no full screen before.
  if (navigator.userActivation?.isActive ?? true) fill();
  else for (const press of ["click", "keydown"]) root.addEventListener(press, fill, { once: true });
  return { root, leave };
}
