/** What the page's address calls the frames of the next lesson. */
const KEY = "wall=";

/** The frames that an address names, in its order; null where it names none. */
export function picksIn(hash: string): readonly string[] | null {
  const picks = partsOf(hash).find((part) => part.startsWith(KEY));
  const keys = (picks?.slice(KEY.length) ?? "").split(",").filter((key) => key !== "");
  return keys.length > 0 ? [...new Set(keys)] : null;
}

/** The address with these frames named in it, and all else that it holds. */
export function withPicks(hash: string, keys: readonly string[]): string {
  const rest = partsOf(hash).filter((part) => !part.startsWith(KEY));
  const parts = keys.length > 0 ? [...rest, `${KEY}${keys.join(",")}`] : rest;
  return parts.length > 0 ? `#${parts.join("&")}` : "";
}

function partsOf(hash: string): string[] {
  return hash
    .replace(/^#/, "")
    .split("&")
    .filter((part) => part !== "");
}
