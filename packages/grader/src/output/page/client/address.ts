/** What a reader has chosen to see, as the page's address keeps it. */
export interface Address {
  /** A verdict, `failed` or `none`; `all` without a filter. */
  readonly show: string;
  /** A cause's code; empty without a filter. */
  readonly cause: string;
  /** What names contain. */
  readonly q: string;
  /** How frames are grouped: empty, `worst`, `cause` or `folder`. */
  readonly by: string;
  /** Numbers of frames that were opened, and shut, other than the page came with. */
  readonly open: readonly string[];
  readonly shut: readonly string[];
  /** The frame that was gone to; empty for none. */
  readonly at: string;
}

const NOTHING: Address = { show: "all", cause: "", q: "", by: "", open: [], shut: [], at: "" };

/**
 * Reads what stands behind the `#` of an address.
 *
 * @returns null where it leads to another part of the page
 */
export function addressOf(hash: string): Address | null {
  const text = hash.replace(/^#/, "");
  if (text === "") return NOTHING;
  if (/^frame-\d+$/.test(text)) return { ...NOTHING, at: text };
  if (!text.includes("=")) return null;
  const given = new URLSearchParams(text);
  const list = (key: string): string[] => (given.get(key) ?? "").split(",").filter(Boolean);
  return {
    show: given.get("show") ?? "all",
    cause: given.get("cause") ?? "",
    q: given.get("q") ?? "",
    by: given.get("by") ?? "",
    open: list("open"),
    shut: list("shut"),
    at: given.get("at") ?? "",
  };
}

/** An address as what stands behind the `#`; only what was chosen is in it. */
export function hashOf(address: Address): string {
  const said = new URLSearchParams();
  for (const [key, value] of Object.entries(address)) {
    const text = Array.isArray(value) ? value.join(",") : String(value);
    if (text !== "" && text !== String(NOTHING[key as keyof Address])) said.set(key, text);
  }
  const text = said.toString().replaceAll("%2C", ",");
  const others = [...said.keys()].filter((key) => key !== "at");
  return others.length === 0 ? `#${said.get("at") ?? ""}` : `#${text}`;
}
