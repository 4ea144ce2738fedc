import { element } from "./element.ts";

/**
 * Copies a text.
 *
 * @returns what to say of it
 */
export async function copyText(text: string, what: string): Promise<string> {
  try {
    await navigator.clipboard.writeText(text);
    return `Copied ${what}.`;
  } catch {
    // A page that is opened from disk may not be let near the clipboard.
    const area = element("textarea", { "aria-label": what });
    area.value = text;
    document.body.append(area);
    area.select();
    const copied = document.execCommand("copy");
    area.remove();
    return copied ? `Copied ${what}.` : "The clipboard is closed to this page.";
  }
}
