/** Whether a text is a slip, judged by its beginning. */
export function beginsSlip(text: string): boolean {
  return /^\uFEFF?\s*\{\s*"slip"\s*:/.test(text);
}
