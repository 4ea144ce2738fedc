import { isComposite } from "../judge/grade/settingsFall.ts";
import { GraderError } from "../model/errors.ts";
import type { Exposure, ReadResult } from "../model/result.ts";
import { decodePicture } from "../picture/decodePicture.ts";
import type { Frame } from "../picture/frame.ts";
import { readFile } from "../run/readFile.ts";

/** A frame that a kit is measured from. */
export interface KitFrame {
  readonly row: ReadResult & { readonly exposure: Exposure };
  readonly frame: Frame;
}

/**
 * Opens a frame that a kit is to be measured from.
 *
 * @throws {@link GraderError} what keeps it from being read, with its name; `kit-refused` where it was merged or toned by
 *   place, so that no one curve made it
 */
export async function openKitFrame(path: string): Promise<KitFrame> {
  const { result, file, record } = await readFile(path);
  const { exposure, failure } = result;
  if (failure || !file || !record || !exposure) {
    throw new GraderError("cannot-read", `${result.file}: ${failure?.message ?? "cannot be read"}`);
  }
  if (isComposite(exposure)) {
    throw new GraderError(
      "kit-refused",
      `${result.file} was merged from several exposures, or parts of it were toned separately, so no single curve made it; turn such automatic functions off and photograph it again`,
    );
  }
  try {
    return { row: { ...result, exposure }, frame: await decodePicture(file, record) };
  } catch (cause) {
    if (!(cause instanceof GraderError)) throw cause;
    throw new GraderError(cause.code, `${result.file}: ${cause.message}`, { cause });
  }
}
