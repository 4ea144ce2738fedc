import { inflated } from "./inflated.ts";

/** Draws what is folded when it is opened, and not before. */
export function folds(): void {
  // `toggle` does not bubble.
  document.addEventListener(
    "toggle",
    async (event) => {
      const details = event.target;
      if (!(details instanceof HTMLDetailsElement) || !details.open) return;
      const packed = details.querySelector(":scope > script.packed");
      if (!packed) return;
      packed.remove();
      const text = new TextDecoder().decode(await inflated(packed.textContent ?? ""));
      // Markup that the report's maker has escaped; nothing of it runs.
      const drawn = document.createElement("template");
      drawn.innerHTML = text;
      details.append(drawn.content);
      details.dispatchEvent(new CustomEvent("drawn", { bubbles: true }));
    },
    true,
  );
}
