const COPY_MARK =
  /^(?:(?:copy(?: \(\d{1,3}\))? of|kopie(?: \(\d{1,3}\))? von|kopie van|copie de|copia de|copia di|cópia de|kopia av|kopi av) ){1,3}/iu;

/**
 * What a system writes before the name of a file that it copies, with the space behind it, such as `Kopie von `; empty for none.
 * The languages are those that names of exercises are known in, and a few of their neighbours', from memory.
 *
 * @param name - accents in NFC
 */
export function copyMarkOf(name: string): string {
  return COPY_MARK.exec(name)?.[0] ?? "";
}
