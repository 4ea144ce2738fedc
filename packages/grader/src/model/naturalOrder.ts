let collator: Intl.Collator | undefined;

/**
 * Names in the order people count in, 9 before 10. The collator finds some different names equal; their code points then
 * keep the order the same everywhere.
 */
export function naturalOrder(a: string, b: string): number {
  collator ??= new Intl.Collator("en", { numeric: true });
  return collator.compare(a, b) || (a < b ? -1 : 1);
}
