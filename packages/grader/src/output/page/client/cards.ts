/** Cards this far from what is in sight are drawn, in heights of the window. */
const NEAR = "100%";

/** The event that a card gets when it is drawn. */
const DRAWN = "card-drawn";

/** A part of a card, whether the card is drawn or waits. */
export function partOfCard<E extends Element>(id: string, selector: string): E | null {
  const card = document.getElementById(id);
  return (
    card?.querySelector<E>(selector) ?? waiting(card)?.content.querySelector<E>(selector) ?? null
  );
}

/** Draws a card that waits: pages of many frames hold the content of cards aside until it is needed. */
export function drawCard(card: Element | null): void {
  const content = waiting(card);
  if (!content) return;
  content.replaceWith(content.content);
  card?.dispatchEvent(new CustomEvent(DRAWN));
}

/** Draws cards that wait when they come near or are opened. */
export function lateCards(): void {
  whenNear("details[open] > template.card-content", (content) =>
    drawCard(content.closest(".frame")),
  );
  for (const content of document.querySelectorAll("template.card-content")) {
    const fold = content.parentElement as HTMLDetailsElement;
    fold.addEventListener("toggle", () => fold.open && drawCard(fold.parentElement), {
      once: true,
    });
  }
}

/** Prepares every card of a page once it is drawn. */
export function forEachCard(prepare: (card: HTMLElement) => void): void {
  for (const card of document.querySelectorAll<HTMLElement>("article.frame")) {
    if (waiting(card)) card.addEventListener(DRAWN, () => prepare(card), { once: true });
    else prepare(card);
  }
}

/** Does something for each of some elements once its place on the page is near to what is in sight. */
export function whenNear(selector: string, act: (element: HTMLElement) => void): void {
  const watch = new IntersectionObserver(
    (seen) => {
      for (const { target, isIntersecting } of seen) {
        if (!isIntersecting) continue;
        watch.unobserve(target);
        for (const element of elements.get(target) ?? []) act(element);
      }
    },
    { rootMargin: `${NEAR} 0px` },
  );
  const elements = new Map<Element, HTMLElement[]>();
  for (const element of document.querySelectorAll<HTMLElement>(selector)) {
    // What lies within a part that is skipped while it is out of sight is seen by that part.
    const place = element.closest(".frame, .sheet") ?? element;
    elements.set(place, [...(elements.get(place) ?? []), element]);
  }
  for (const place of elements.keys()) watch.observe(place);
}

function waiting(card: Element | null): HTMLTemplateElement | null {
  return card?.querySelector<HTMLTemplateElement>(":scope template.card-content") ?? null;
}
