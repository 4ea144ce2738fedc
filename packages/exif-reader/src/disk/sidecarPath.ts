import { statSync } from "node:fs";
import { join, parse } from "node:path";
import { ExifError } from "../errors.ts";
import { expectPath } from "../source/expectSource.ts";

/** Cameras with a DOS heritage write upper case. */
const EXTENSIONS = [".xmp", ".XMP"];

/**
 * The sidecar of a picture: `name.ext.xmp`, which belongs to that file alone, before `name.xmp`, which a raw file and its
 * JPEG share.
 *
 * @param picture - path of the picture
 * @returns the path of whatever has that name, readable or not; null where nothing has it, or can have it
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for anything but a path, and where the folder may not be searched
 */
export function sidecarPath(picture: string): string | null {
  expectPath(picture);
  const { dir, name } = parse(picture);
  const candidates = [picture, join(dir, name)].flatMap((base) =>
    EXTENSIONS.map((extension) => base + extension),
  );
  // This check takes a few microseconds; trying to open a missing file takes a hundred.
  return candidates.find(exists) ?? null;
}

/** Errors of names that nothing can have: part of the path is a file, the name is too long, or it holds a null. */
const NO_NAMES: readonly unknown[] = ["ENOTDIR", "ENAMETOOLONG", "ERR_INVALID_ARG_VALUE"];

function exists(path: string): boolean {
  try {
    return statSync(path, { throwIfNoEntry: false }) !== undefined;
  } catch (error) {
    const cause = error as NodeJS.ErrnoException;
    if (NO_NAMES.includes(cause.code)) return false;
    throw new ExifError(
      "EXIF_CANNOT_READ",
      `Expected a folder that may be searched for ${path} but received the error ${cause.code}`,
      { cause },
    );
  }
}
