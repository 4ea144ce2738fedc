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
  if (keys.length === 0) {
    // Alone, the frame that was gone to is an address of its own.
    const said = rest.length === 1 ? rest.join().replace(/^at=/, "") : rest.join("&");
    return rest.length === 0 ? "" : `#${said}`;
  }
  const said = rest.map((part) => (part.includes("=") ? part : `at=${part}`));
  return `#${[...said, `${KEY}${keys.join(",")}`].join("&")}`;
}

function partsOf(hash: string): string[] {
  return hash
    .replace(/^#/, "")
    .split("&")
    .filter((part) => part !== "");
}
