/** Opens what is folded while the page is printed, since paper cannot be unfolded. */
export function printWhole(): void {
  let opened: HTMLDetailsElement[] = [];
  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll<HTMLDetailsElement>("details:not([open])")];
    for (const details of opened) details.open = true;
  });
  addEventListener("afterprint", () => {
    for (const details of opened) details.open = false;
    opened = [];
  });
}
