/** Opens frames, and what is folded in them, while the page is printed; what is drawn on request alone stays folded. */
export function printWhole(): void {
  let opened: HTMLDetailsElement[] = [];
  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll<HTMLDetailsElement>("details:not([open], .fold)")];
    for (const details of opened) details.open = true;
  });
  addEventListener("afterprint", () => {
    for (const details of opened) details.open = false;
    opened = [];
  });
}
