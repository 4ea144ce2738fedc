import { statSync } from "node:fs";
import { join, parse } from "node:path";
import { ExifError } from "../errors.ts";
import { expectPath } from "../source/expectSource.ts";

/** Upper case is what cameras with a DOS heritage write. */
const EXTENSIONS = [".xmp", ".XMP"];

/**
 * The sidecar of a picture: `name.ext.xmp`, which names the very file, before `name.xmp`, which a raw file and its JPEG
 * share.
 *
 * @param picture - path of the picture
 * @returns the path of what lies there under that name, a readable file or not; null where nothing does, or can
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for what is no path, or where the folder may not be looked into
 */
export function sidecarPath(picture: string): string | null {
  expectPath(picture);
  const { dir, name } = parse(picture);
  const candidates = [picture, join(dir, name)].flatMap((base) =>
    EXTENSIONS.map((extension) => base + extension),
  );
  // Asked in passing: some microseconds, where opening what is not there costs a hundred.
  return candidates.find(exists) ?? null;
}

/** Why nothing can lie under a name: a file is taken for a folder, the name is longer than any, or it holds a null. */
const NO_NAMES: readonly unknown[] = ["ENOTDIR", "ENAMETOOLONG", "ERR_INVALID_ARG_VALUE"];

function exists(path: string): boolean {
  try {
    return statSync(path, { throwIfNoEntry: false }) !== undefined;
  } catch (error) {
    const cause = error as NodeJS.ErrnoException;
    if (NO_NAMES.includes(cause.code)) return false;
    throw new ExifError(
      "EXIF_CANNOT_READ",
      `Expected a folder that may be looked into for ${path} but received the error ${cause.code}`,
      { cause },
    );
  }
}
