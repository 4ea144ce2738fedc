import { expectList, expectText } from "../expectGiven.ts";
/**
 * The known word nearest to a mistyped one; null where every known word is more than a typing error or two away.
 *
 * @param wanted - as it was typed
 * @param words - those that are known
 *
 * @example
 * ```ts
 * nearestWord("snwo", ["sand", "snow"]); // => "snow"
 * ```
 */
export function nearestWord(wanted: string, words: readonly string[]): string | null {
  expectText("the wanted word", wanted);
  expectList("the words", words);
  let nearest: string | null = null;
  // A third of the letters may be wrong, three at most: "snwo" means "snow", "velvet" means nothing.
  let least = Math.min(3, Math.floor(wanted.length / 3) + 1);
  for (const word of words) {
    expectText("a word", word);
    if (Math.abs(word.length - wanted.length) >= least) continue;
    const distance = editDistance(wanted, word);
    if (distance < least) {
      least = distance;
      nearest = word;
    }
  }
  return nearest;
}

/**
 * Letters to insert, drop, change or swap with their neighbour to make one word of another.
 *
 * Our own: the usual libraries count Levenshtein's edits, where a swap costs two, so that "hte" would be nearer to "hue" than
 * to "the". This package also depends on no other.
 */
function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let above = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      let cost = Math.min(at(above, j) + 1, at(row, j - 1) + 1, at(above, j - 1) + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        cost = Math.min(cost, at(before, j - 2) + 1);
      }
      row.push(cost);
    }
    before = above;
    above = row;
  }
  return at(above, b.length);
}

function at(row: readonly number[], index: number): number {
  return row[index] as number;
}
