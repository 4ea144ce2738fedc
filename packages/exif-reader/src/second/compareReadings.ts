import type { ExposureFields, Field } from "../exposureRecord.ts";
import { REASONS } from "../fieldAbsence.ts";
import type { SecondAnswers, SecondReading } from "./secondReading.ts";

/** A setting that two readers are compared on. */
export type ComparedSetting = keyof SecondAnswers;

/**
 * How two readings of one setting compare: `agrees` and `differs` where both have a value, `only-first` and `only-second`
 * where one has, `neither` where none has.
 */
export type Agreement = "agrees" | "differs" | "only-first" | "only-second" | "neither";

/** Why the record differs from the second reading. */
export interface Disagreement {
  /** Stable code; branch on this, never on the message. */
  readonly code: DisagreementCode;
  /** One plain sentence. */
  readonly message: string;
}

/**
 * Stable codes of reasons: computed from an APEX value, taken from another ISO tag, found where the second reader does not
 * look, refused as no usable value, in a file where the second reader finds nothing; `not-known` for every other.
 */
export type DisagreementCode =
  | "apex"
  | "iso-tag"
  | "other-source"
  | "refused"
  | "nothing-found"
  | "not-known";

/** One setting beside the second reader's answer. */
export interface ComparedField<T> {
  /** What the second reader says; null where it says nothing. */
  readonly value: T | null;
  /** How that compares with the record. */
  readonly agreement: Agreement;
  /** Why the two do not agree; null where the two agree or neither has a value. */
  readonly why: Disagreement | null;
}

/** A record compared with a second reading, which never changes the record. */
export interface ReadingComparison {
  /** Who read the file a second time. */
  readonly reader: SecondReading["reader"];
  /** Setting by setting; null where the second reader cannot read the file. */
  readonly fields:
    | {
        readonly [K in ComparedSetting]: ComparedField<NonNullable<SecondAnswers[K]>>;
      }
    | null;
}

/** Relative; both readers divide the same two whole numbers, so only the last digits may differ. */
const SAME = 1e-9;

/**
 * Compares a record with a second reading, setting by setting.
 *
 * Recorded values are compared, not the exact ones that marked settings stand for. Pure: it opens no file.
 *
 * @example
 * const { fields } = compareReadings(await readExposure(path), await secondReading(path));
 * fields?.aperture.agreement; // => "agrees"
 */
export function compareReadings(
  record: Pick<ExposureFields, ComparedSetting>,
  { reader, answers }: SecondReading,
): ReadingComparison {
  if (answers === null) return { reader, fields: null };
  const otherwise = Object.values(answers).every((value) => value === null)
    ? NOTHING_FOUND
    : NOT_KNOWN;
  const compared = <T extends string | number>(
    first: Field<T>,
    value: T | null,
  ): ComparedField<T> => {
    const agreement = agreementOf(first.value, value);
    const settled = agreement === "agrees" || agreement === "neither";
    return { value, agreement, why: settled ? null : (knownReason(first) ?? otherwise) };
  };
  const fields = {
    aperture: compared(record.aperture, answers.aperture),
    shutter: compared(record.shutter, answers.shutter),
    iso: compared(record.iso, answers.iso),
    compensation: compared(record.compensation, answers.compensation),
    meteringPattern: compared(record.meteringPattern, answers.meteringPattern),
  };
  return { reader, fields };
}

function agreementOf(first: string | number | null, second: string | number | null): Agreement {
  if (first === null) return second === null ? "neither" : "only-second";
  if (second === null) return "only-first";
  return same(first, second) ? "agrees" : "differs";
}

function same(first: string | number, second: string | number): boolean {
  if (typeof first !== "number" || typeof second !== "number") return first === second;
  return Math.abs(first - second) <= SAME * Math.abs(first);
}

/** Why our value differs, judged by the tag that it came from; null where that gives no reason. */
function knownReason(first: Field<unknown>): Disagreement | null {
  if ("reason" in first) {
    if (first.reason === "absent") return null;
    return { code: "refused", message: `Tonefall refuses the value. ${REASONS[first.reason]}` };
  }
  const { from } = first;
  if (!from.startsWith("Exif ")) {
    return { code: "other-source", message: `Tonefall reads ${from}, where exifr does not look.` };
  }
  if (/ (Aperture|ShutterSpeed)Value$/.test(from)) {
    return {
      code: "apex",
      message: `Tonefall computes it from ${from}, since the tag that exifr reads has no usable value.`,
    };
  }
  if (/ (StandardOutputSensitivity|RecommendedExposureIndex|ISOSpeed)$/.test(from)) {
    return {
      code: "iso-tag",
      message: `Tonefall reads ${from}, since the tag that exifr reads holds 65535, 0 or nothing.`,
    };
  }
  return null;
}

const NOTHING_FOUND: Disagreement = {
  code: "nothing-found",
  message: "exifr finds none of these settings in the file.",
};

const NOT_KNOWN: Disagreement = {
  code: "not-known",
  message: "Why the two readers differ is not known.",
};
