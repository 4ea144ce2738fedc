const STEPS: Readonly<Record<string, number>> = {
  ArrowRight: 1,
  ArrowDown: 1,
  ArrowLeft: -1,
  ArrowUp: -1,
};

/** Makes the links of a group one tab stop: arrow keys, Home and End go from one to the next. */
export function rovingFocus(group: Element): void {
  const links = [...group.querySelectorAll<SVGAElement>("a")];
  const only = (one: SVGAElement | undefined): void => {
    for (const link of links) link.setAttribute("tabindex", link === one ? "0" : "-1");
  };
  only(links[0]);
  group.addEventListener("keydown", (event) => {
    const { key } = event as KeyboardEvent;
    const at = links.indexOf(document.activeElement as unknown as SVGAElement);
    const to =
      key === "Home"
        ? 0
        : key === "End"
          ? links.length - 1
          : key in STEPS
            ? at + (STEPS[key] as number)
            : -1;
    const link = at < 0 ? undefined : links[to];
    if (!link) return;
    event.preventDefault();
    only(link);
    link.focus();
  });
  group.addEventListener("focusin", (event) => only(event.target as SVGAElement));
}
