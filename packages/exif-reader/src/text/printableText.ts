const LONGEST_TEXT = 256;

/**
 * Text that is safe to show: up to the first NUL, trimmed, without control and direction characters (a file's text must not
 * steer a terminal), and at most 256 characters unless `longest` says otherwise.
 */
export function printableText(text: string, longest: number = LONGEST_TEXT): string {
  const [upToNul = ""] = text.split("\0", 1);
  return upToNul
    .replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, "")
    .trim()
    .slice(0, longest);
}
