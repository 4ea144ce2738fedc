import { ToneError } from "../errors.ts";
import { expectList, expectObject } from "../expectGiven.ts";
import { expectPositive, expectWhole } from "../expectNumber.ts";
import { BIN_COUNT, type ToneTally } from "./toneTally.ts";

/**
 * Refuses what `tallyTone` cannot have made: another count of bins, or bins without a unit.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 */
export function expectTally(tally: Pick<ToneTally, "bins" | "unit" | "tonedPixels">): void {
  const { bins, unit, tonedPixels } = expectObject("the tally", tally);
  expectPositive("the tally's unit", unit);
  expectWhole("the tally's toned pixels", tonedPixels, 0, Number.MAX_SAFE_INTEGER);
  if (expectList("the tally's bins", bins).length !== BIN_COUNT) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected ${BIN_COUNT} bins for a tally but received ${bins.length}`,
    );
  }
}
