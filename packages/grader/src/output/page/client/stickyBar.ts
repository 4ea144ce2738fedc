/** What is gone to must not lie beneath the bar, however many lines it takes. */
export function stickyBar(): void {
  const bar = document.querySelector<HTMLElement>(".bar");
  if (!bar) return;
  new ResizeObserver(() => {
    const covers = getComputedStyle(bar).position === "sticky" ? bar.offsetHeight : 0;
    document.documentElement.style.scrollPaddingTop = `${covers + 8}px`;
  }).observe(bar);
}
