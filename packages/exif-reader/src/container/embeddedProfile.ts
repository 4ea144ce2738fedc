import { joinedBytes, latin1, startsWith, viewOf } from "../source/bytes.ts";
import { expectBytes } from "../source/expectSource.ts";
import { inflated } from "../source/inflated.ts";
import { pngChunks } from "./pngChunks.ts";

/** Larger than the profiles of tables that printers come with. */
const MOST_PROFILE_BYTES = 2 ** 24;

/**
 * The ICC profile that a JPEG, PNG or WebP file carries.
 *
 * @param file - the whole file, or its start up to the pixels (of a WebP, the whole)
 * @returns null where it carries none, or not the whole of one, and for every other format
 * @throws {@link ExifError} `EXIF_CANNOT_READ` for anything but a Uint8Array
 * @see [ICC] ICC.1:2022, annex B (embedding in JPEG and PNG)
 */
export function embeddedProfile(file: Uint8Array): Uint8Array | null {
  expectBytes(file);
  if (startsWith(file, "\xff\xd8")) return jpegProfile(file);
  if (startsWith(file, "RIFF") && startsWith(file, "WEBP", 8)) return webpProfile(file);
  return pngProfile(file);
}

const JPEG_MARK = "ICC_PROFILE\0";
const MARKER_APP2 = 0xe2;
const MARKER_START_OF_SCAN = 0xda;

/** A profile in parts, each with its number and how many there are. */
function jpegProfile(file: Uint8Array): Uint8Array | null {
  const parts: Uint8Array[] = [];
  let expected = 0;
  for (const { marker, payload } of jpegSegments(file)) {
    if (marker !== MARKER_APP2 || !startsWith(payload, JPEG_MARK)) continue;
    const number = payload[JPEG_MARK.length] ?? 0;
    const count = payload[JPEG_MARK.length + 1] ?? 0;
    if (number < 1 || number > count || parts[number - 1] || (expected && count !== expected)) {
      return null;
    }
    expected = count;
    parts[number - 1] = payload.subarray(JPEG_MARK.length + 2);
  }
  const whole = Array.from({ length: expected }, (_, i) => parts[i]);
  return expected > 0 && whole.every((part) => part !== undefined) ? joinedBytes(whole) : null;
}

function* jpegSegments(
  file: Uint8Array,
): Generator<{ readonly marker: number; readonly payload: Uint8Array }> {
  const view = viewOf(file);
  for (let at = 2; at + 4 <= file.length; ) {
    if (file[at] !== 0xff) return;
    const marker = file[at + 1] as number;
    if (marker === 0xff) {
      at++;
      continue;
    }
    if (marker === MARKER_START_OF_SCAN) return;
    const length = view.getUint16(at + 2);
    if (length < 2 || at + 2 + length > file.length) return;
    yield { marker, payload: file.subarray(at + 4, at + 2 + length) };
    at += 2 + length;
  }
}

function webpProfile(file: Uint8Array): Uint8Array | null {
  const view = viewOf(file);
  for (let at = 12; at + 8 <= file.length; ) {
    const length = view.getUint32(at + 4, true);
    if (latin1(file, at, at + 4) === "ICCP") {
      return at + 8 + length <= file.length ? file.subarray(at + 8, at + 8 + length) : null;
    }
    at += 8 + length + (length % 2);
  }
  return null;
}

/** A name, a NUL, the number of the compression, and the profile compressed. */
function pngProfile(file: Uint8Array): Uint8Array | null {
  const chunk = pngChunks(file).find(({ type }) => type === "iCCP");
  if (!chunk?.isIntact) return null;
  return inflated(chunk.data.subarray(chunk.data.indexOf(0) + 2), MOST_PROFILE_BYTES);
}
