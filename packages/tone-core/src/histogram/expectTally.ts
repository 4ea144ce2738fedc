import { ToneError } from "../errors.ts";
import { expectPositive, expectWhole } from "../expectNumber.ts";
import { BIN_COUNT, type ToneTally } from "./toneTally.ts";

/**
 * Refuses what `tallyTone` cannot have made: another count of bins, or bins without a unit.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 */
export function expectTally({
  bins,
  unit,
  tonedPixels,
}: Pick<ToneTally, "bins" | "unit" | "tonedPixels">): void {
  expectPositive("the tally's unit", unit);
  expectWhole("the tally's toned pixels", tonedPixels, 0, Number.MAX_SAFE_INTEGER);
  if (bins.length !== BIN_COUNT) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected ${BIN_COUNT} bins for a tally but received ${bins.length}`,
    );
  }
}
