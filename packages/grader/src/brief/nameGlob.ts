import picomatch from "picomatch";

/**
 * Whether names of files match a glob. Capital and small letters count as the same, since cameras write both `.JPG` and
 * `.jpg`; so do the two ways in which systems store an accent.
 */
export function nameGlob(glob: string): (name: string) => boolean {
  const matches = picomatch(sameAccents(glob), { nocase: true });
  return (name) => matches(sameAccents(name));
}

/** The name with each accent in one character with its letter, as most systems store it; some Macs keep the two apart. */
function sameAccents(name: string): string {
  return name.normalize("NFC");
}
