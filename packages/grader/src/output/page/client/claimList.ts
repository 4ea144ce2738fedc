import { drawCard } from "./cards.ts";

/** Keys that lead from one frame with an open claim to the next, and back. */
const KEYS: Readonly<Record<string, 1 | -1>> = { j: 1, k: -1 };

/** On the page of a check: counts filter the table, and keys and buttons lead through the frames with an open claim. */
export function claimList(): void {
  const counts = document.querySelectorAll<HTMLAnchorElement>("[data-outcome]");
  if (counts.length === 0) return;
  for (const link of counts) {
    link.addEventListener("click", () => {
      filterBy(link);
      for (const other of counts) other.setAttribute("aria-current", String(other === link));
    });
  }
  const open = [...document.querySelectorAll<HTMLElement>("[data-open]:not([data-open='0'])")];
  const step = (by: 1 | -1): void => {
    const here = open.indexOf(
      document.activeElement?.closest<HTMLElement>("[data-open]") as HTMLElement,
    );
    const card = open[here < 0 && by < 0 ? open.length - 1 : here + by];
    if (card) goTo(card);
  };
  const steps = document.querySelector<HTMLElement>(".claim-steps");
  if (steps && open.length > 0) {
    steps.hidden = false;
    for (const button of steps.querySelectorAll<HTMLElement>("[data-step]")) {
      button.addEventListener("click", () => step(button.dataset["step"] === "1" ? 1 : -1));
    }
  }
  document.addEventListener("keydown", (event) => {
    const field = (event.target as Element).closest("input, select, textarea, dialog");
    const by = KEYS[event.key.toLowerCase()];
    if (!by || field || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    step(by);
  });
  const arrive = (): void => {
    const card = document.getElementById(location.hash.slice(1));
    if (card?.matches(".frame")) goTo(card);
  };
  addEventListener("hashchange", arrive);
  arrive();
}

/** Opens a frame's card and goes there. */
function goTo(card: HTMLElement): void {
  const fold = card.querySelector<HTMLDetailsElement>(".frame-fold");
  if (fold) fold.open = true;
  drawCard(card);
  card.scrollIntoView({ block: "start" });
  card.focus({ preventScroll: true });
}

/** Sets the table's filter to an outcome; where all claims came to one, there is nothing to choose. */
function filterBy({ dataset }: HTMLAnchorElement): void {
  const form = document.querySelector<HTMLFormElement>("form.filters");
  const choice = form?.querySelector<HTMLSelectElement>("select[name=filter-0]");
  if (!choice) return;
  choice.value = dataset["outcome"] ?? "";
  choice.dispatchEvent(new Event("input", { bubbles: true }));
}
