import { statSync } from "node:fs";
import { join, parse } from "node:path";

/** Upper case is what cameras with a DOS heritage write. */
const EXTENSIONS = [".xmp", ".XMP"];

/**
 * The sidecar of a picture: `name.ext.xmp`, which names the very file, before `name.xmp`, which a raw file and its JPEG
 * share.
 *
 * @param picture - path of the picture
 * @returns the path of what lies there under that name, a readable file or not; null where nothing does
 */
export function sidecarPath(picture: string): string | null {
  const { dir, name } = parse(picture);
  const candidates = [picture, join(dir, name)].flatMap((base) =>
    EXTENSIONS.map((extension) => base + extension),
  );
  // Asked in passing: some microseconds, where opening what is not there costs a hundred.
  const found = candidates.find((path) => statSync(path, { throwIfNoEntry: false }) !== undefined);
  return found ?? null;
}
