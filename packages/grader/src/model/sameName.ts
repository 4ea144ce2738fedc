/** A name as names are compared: case does not matter, nor how its accents are encoded. */
export function folded(name: string): string {
  return name.normalize("NFC").toLowerCase();
}

/** Whether two names of files, folders, codes or levels are one. */
export function sameName(one: string, other: string): boolean {
  return folded(one) === folded(other);
}

/** Letters that stand for another and hold no accent that could be taken off. */
const PLAIN: ReadonlyMap<string, string> = new Map([
  ..."đd øo łl ıi ħh ŧt".split(" ").map(([letter = "", plain = ""]) => [letter, plain] as const),
  ..."’‘ʼ´`′".split("").map((mark) => [mark, "'"] as const),
  ..."‐‑‒–—".split("").map((dash) => [dash, "-"] as const),
]);

/**
 * A name without its accents, with plain apostrophes and hyphens: what it may become on another keyboard. Each letter of the
 * {@link folded} name gives one.
 */
export function plainName(name: string): string {
  return Array.from(folded(name), (letter) => {
    const [base = letter] = letter.normalize("NFD");
    const plain = PLAIN.get(base) ?? base;
    return plain.length === letter.length ? plain : letter;
  }).join("");
}
