import { ExifError } from "@tonefall/exif-reader";
import type { Note } from "../model/note.ts";
import { fileError } from "../picture/source/openSource.ts";
import { asFailure } from "./asFailure.ts";

/** {@link asFailure}, where the system may have refused the file: the reader of metadata can be the first to open it. */
export function openingFailure(error: unknown): Note {
  const cause = error instanceof ExifError ? error.cause : null;
  return asFailure(isAboutFile(cause) ? fileError(cause, cause.path) : error);
}

function isAboutFile(cause: unknown): cause is NodeJS.ErrnoException & { readonly path: string } {
  const { syscall, path } = (cause ?? {}) as NodeJS.ErrnoException;
  return (syscall === "open" || syscall === "stat") && typeof path === "string";
}
