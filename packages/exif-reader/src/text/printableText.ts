const LONGEST_TEXT = 256;

/**
 * Text as it may be shown: up to the first NUL, without control and direction characters
 * (a file's text must not steer a terminal), spaces trimmed, at most 256 characters unless told
 * otherwise.
 */
export function printableText(text: string, longest: number = LONGEST_TEXT): string {
  const [upToNul = ""] = text.split("\0", 1);
  return upToNul
    .replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, "")
    .trim()
    .slice(0, longest);
}
