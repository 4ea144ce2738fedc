import type { Field } from "../exposureRecord.ts";
import type { TagSource } from "../tag/tagSource.ts";
import type { TextTag } from "../tag/tags.ts";
import { fieldOf, firstUsable } from "./fieldRules.ts";

/**
 * Local time of capture in ISO 8601 form, with the fraction and the offset that the file has:
 * DateTimeOriginal, else DateTimeDigitized. DateTime is ignored: it is when the file was last changed.
 *
 * @see [EXIF, DateTimeOriginal, SubSecTimeOriginal, OffsetTimeOriginal]
 */
export function capturedAt(tags: TagSource): Field<string> {
  return firstUsable(
    () => moment(tags, "DateTimeOriginal", "SubSecTimeOriginal", "OffsetTimeOriginal"),
    () => moment(tags, "DateTimeDigitized", "SubSecTimeDigitized", "OffsetTimeDigitized"),
  );
}

/** `2024:05:31 18:04:09` in Exif, `2024-05-31T18:04:09.25+02:00` in XMP. */
const DATE_TIME =
  /^(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d)(?::(\d\d)(\.\d+)?)?\s*(Z|[+-]\d\d:?\d\d)?$/;

function moment(tags: TagSource, time: TextTag, fraction: TextTag, offset: TextTag): Field<string> {
  return fieldOf(tags.text(time), (text) => {
    if (/^[0 :]*$/.test(text)) return "unknown"; // blanks in place of digits, by the standard
    const [, year = "", month = "", day = "", hour, minute, second = "00", inText, zone] =
      DATE_TIME.exec(text) ?? [];
    if (hour === undefined || minute === undefined) return "malformed";
    if (!isDate(Number(year), Number(month), Number(day))) return "malformed";
    if (Number(hour) > 23 || Number(minute) > 59 || Number(second) > 60) return "malformed";

    const digits = /^\d+/.exec(textOf(tags, fraction))?.[0];
    const part = inText ?? (digits === undefined ? "" : `.${digits}`);
    const shift = zone ?? /^(Z|[+-]\d\d:?\d\d)$/.exec(textOf(tags, offset))?.[0] ?? "";
    const withColon = shift.replace(/^([+-]\d\d)(\d\d)$/, "$1:$2");
    return { value: `${year}-${month}-${day}T${hour}:${minute}:${second}${part}${withColon}` };
  });
}

function textOf(tags: TagSource, tag: TextTag): string {
  const recorded = tags.text(tag);
  return recorded && "value" in recorded ? recorded.value : "";
}

/** Whether the day exists in the calendar. */
function isDate(year: number, month: number, day: number): boolean {
  const date = new Date(Date.UTC(year, month - 1, day));
  return date.getUTCMonth() === month - 1 && date.getUTCDate() === day;
}
