import { closeSync, openSync, readSync } from "node:fs";
import { extname } from "node:path";
import { PICTURE_EXTENSIONS, sniffFormat } from "@tonefall/exif-reader";
import { MADE_SOFTWARE } from "../../model/madeFrame.ts";
import { RAW_FORMATS } from "../../picture/raw/rawFormats.ts";
import { type HeldText, heldText } from "./heldText.ts";

/** What stands in a file that is not empty. */
export interface HeldFile extends HeldText {
  /** Whether it is text. A person may have some text overwritten, but never a picture or a file of unknown kind. */
  readonly isText: boolean;
}

/** As much as tells the kinds of raw files apart. */
const HEAD_BYTES = 65_536;

/** What a file holds, by its content; its name counts only where the content says nothing. */
export function heldFile(path: string): HeldFile {
  const head = headOf(path);
  if (head === null) return { what: "a file that cannot be read", kind: null, isText: false };
  const format = sniffFormat(head);
  if (format === "xmp")
    return { what: "a picture's sidecar", kind: null, isText: true, isPersons: true };
  if (format === "jpeg" && Buffer.from(head).includes(MADE_SOFTWARE)) {
    return { what: "a made frame (JPEG)", kind: "made-frame", isText: false };
  }
  if (format !== null) {
    const what = RAW_FORMATS.has(format) ? "a raw file" : "a picture";
    return { what: `${what} (${format.toUpperCase()})`, kind: null, isText: false };
  }
  const text = asText(head);
  if (text === null) return { what: "something other than text", kind: null, isText: false };
  const held = heldText(text);
  const isNamedPicture = PICTURE_EXTENSIONS.has(extname(path).toLowerCase());
  if (held.kind === null && isNamedPicture) {
    return { what: "named as a picture", kind: null, isText: false };
  }
  return { ...held, isText: true };
}

function headOf(path: string): Uint8Array | null {
  try {
    const file = openSync(path, "r");
    try {
      const head = Buffer.alloc(HEAD_BYTES);
      return head.subarray(0, readSync(file, head, 0, HEAD_BYTES, 0));
    } finally {
      closeSync(file);
    }
  } catch {
    return null;
  }
}

/** Bytes as text; null where they are none. A character that the end cuts through does no harm. */
function asText(bytes: Uint8Array): string | null {
  if (bytes.includes(0)) return null;
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes, { stream: true });
  } catch {
    return null;
  }
}
