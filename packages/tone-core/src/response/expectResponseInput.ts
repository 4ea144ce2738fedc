import { ToneError } from "../errors.ts";
import { expectList, expectObject } from "../expectGiven.ts";
import { expectFinite, expectNumberBetween, expectPositive, expectWhole } from "../expectNumber.ts";
import type { ResponseInput } from "./responseInput.ts";

/** Exposures further from zero than this, stops, are refused. */
const MOST_STOPS = 1000;

/** Exposures closer together than this, stops, do not determine the scale of a curve. */
const LEAST_STEP = 1e-6;

/**
 * Refuses numbers of a bracket that are none, so that the fit need not ask.
 *
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 */
export function expectResponseInput(input: ResponseInput): void {
  const { places, exposures, exposureError, middleCode } = expectObject("the response", input);
  expectList("the places", places);
  for (const exposure of expectList("the exposures", exposures)) {
    expectNumberBetween("exposure of a frame", exposure, -MOST_STOPS, MOST_STOPS);
  }
  expectPositive("exposure error", exposureError);
  expectNumberBetween("middle code", middleCode, 0, 255);
  for (const { frame, code, codeError } of places.flat()) {
    expectWhole("frame of an observation", frame, 0, exposures.length - 1);
    expectNumberBetween("code of an observation", code, 0, 255);
    expectNumberBetween("code error of an observation", codeError, 0, 255);
  }
}

/**
 * Refuses a bracket that determines no curve: one exposure, or places of one code.
 *
 * @param places - those seen twice
 * @throws {@link ToneError} `TONE_OUT_OF_RANGE`
 */
export function expectSpread(
  { exposures, encodedStops }: ResponseInput,
  places: ResponseInput["places"],
): void {
  const [darkest, lightest] = endsOf(exposures);
  if (!(lightest - darkest > LEAST_STEP)) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      "Expected frames of at least two exposures for a response but received one",
    );
  }
  const [from, to] = endsOf(places.flatMap((seen) => seen.map(({ code }) => code)));
  if (!(Math.ceil(to) - Math.max(1, Math.floor(from)) >= 1)) {
    throw new ToneError(
      "TONE_OUT_OF_RANGE",
      `Expected places of several codes for a response but received ${from} to ${to}`,
    );
  }
  for (let code = Math.max(1, Math.floor(from)); code < Math.ceil(to); code++) {
    const rise = encodedStops(code + 1) - encodedStops(code);
    if (!(expectFinite("rise of the transfer from code to code", rise) >= 0)) {
      throw new ToneError(
        "TONE_OUT_OF_RANGE",
        `Expected encoded stops that rise with the code but received a fall of ${-rise} after ${code}`,
      );
    }
  }
}

function endsOf(values: readonly number[]): [least: number, most: number] {
  return values.reduce<[number, number]>(
    ([least, most], value) => [Math.min(least, value), Math.max(most, value)],
    [Infinity, -Infinity],
  );
}
