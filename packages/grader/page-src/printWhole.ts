/** Opens what is folded while the page is printed: paper cannot be clicked. */
export function printWhole(): void {
  let opened: HTMLDetailsElement[] = [];
  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll<HTMLDetailsElement>("details:not([open])")];
    for (const details of opened) details.open = true;
  });
  addEventListener("afterprint", () => {
    for (const details of opened) details.open = false;
  });
}
