import { unpacked } from "./unpacked.ts";

/** Fills in the words of the licences when they are first opened. */
export function showLicences(): void {
  const fold = document.querySelector<HTMLDetailsElement>("details.licences");
  const place = fold?.querySelector("pre");
  const packed = document.getElementById("notices")?.textContent;
  if (!fold || !place || !packed) return;
  const fill = async (): Promise<void> => {
    place.textContent = new TextDecoder().decode(await unpacked(packed));
  };
  fold.addEventListener("toggle", () => void fill(), { once: true });
}
