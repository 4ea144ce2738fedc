/** Draws what is folded when it is opened, and not before. */
export function folds(): void {
  // `toggle` does not bubble.
  document.addEventListener(
    "toggle",
    (event) => {
      const details = event.target;
      if (!(details instanceof HTMLDetailsElement) || !details.open) return;
      const template = details.querySelector<HTMLTemplateElement>(":scope > template");
      if (!template) return;
      template.replaceWith(template.content);
      details.dispatchEvent(new CustomEvent("drawn", { bubbles: true }));
    },
    true,
  );
}
