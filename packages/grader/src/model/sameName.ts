/** A name as names are compared: case does not matter, nor how its accents are encoded. */
export function folded(name: string): string {
  return name.normalize("NFC").toLowerCase();
}

/** Whether two names of files, folders, codes or levels are one. */
export function sameName(one: string, other: string): boolean {
  return folded(one) === folded(other);
}
