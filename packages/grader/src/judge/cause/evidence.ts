import type { Evidence, FactCode, SizedFactCode } from "../../model/cause.ts";
import { stopsText } from "../../model/words.ts";
import { settingSize, settingWords } from "../advice/lightWords.ts";

/** Facts without a size. */
const FACTS: Readonly<Record<FactCode, string>> = {
  "flash-recorded": "The file records that the flash fired.",
  "composite-recorded":
    "The file records that the picture was merged from several exposures, or that parts of it were toned separately.",
  "custom-rendering-recorded": "The file records special processing.",
  "contrast-recorded": "The file records a contrast setting other than normal.",
  "software-recorded": "The file names a program besides the camera's firmware.",
  "no-metadata": "The file records no settings.",
  "no-mode": "The file does not say whether the camera set the exposure.",
  "no-pattern": "The file does not say how the camera metered.",
  "no-compensation": "The file does not say what compensation was set.",
  "auto-bracket": "The frame is one step of an automatic bracket, which misses by design.",
  "manual-recorded": "The exposure was set by hand.",
  "reading-is-a-bound":
    "Part of what the meter saw is clipped or black, so the true reading lies further from middle grey.",
  "pattern-recorded":
    "The file's metering pattern has no known place or weighting, so it cannot be laid over the picture.",
  "spot-place-unknown": "The file does not say where in the frame the spot was.",
  "weighting-unpublished": "The maker does not publish how the camera weighs its segments.",
  "rendering-explains":
    "The contrast of an ordinary camera would explain the miss by itself: the light may have been right.",
  "toned-as-a-whole":
    "A right exposure whose whole picture was made lighter or darker afterwards would look the same.",
  "brightness-recorded": "The camera recorded the brightness that it metered.",
};

/** Facts with a size, which the sentence says: what was measured in two decimals, what was set in thirds or halves. */
const SIZED_FACTS: Readonly<Record<SizedFactCode, (stops: number) => string>> = {
  miss: (stops) => `The tone missed its placement by ${stopsText(stops)}.`,
  reading: (stops) => `The recorded pattern reads ${stopsText(stops)} here: ${besideGrey(stops)}.`,
  "reading-estimated": (stops) =>
    `The recorded pattern reads about ${stopsText(stops)} here: ${besideGrey(stops)}. Its weighting is not published, so this is an estimate.`,
  compensation: (stops) => `The compensation was set to ${settingWords(stops)}.`,
  "compensation-wanted": (stops) =>
    `Compensation that would have placed the tone right: ${settingWords(stops)}.`,
  departure: (stops) => `The compensation leaves ${stopsText(stops)} of the reading unexplained.`,
  "brightness-departure": (stops) =>
    `The exposure was set ${besides(stops, "the recorded brightness asks for")}.`,
  needle: (stops) => `The exposure was set ${besides(stops, METER_ASKED)}.`,
  "miss-before": (stops) =>
    stops === 0
      ? "The frame before did not miss this placement."
      : `The frame before missed this placement by ${stopsText(stops)}.`,
  "change-of-settings": (stops) =>
    `Compared with the frame before, the settings gave ${exposureChange(stops)}.`,
  "change-of-fall": (stops) => `The subject fell ${lighterThan(stops)} in the frame before.`,
  "change-of-light": (stops) =>
    `The settings leave ${stopsText(stops)} of the change since the frame before unexplained.`,
  "change-by-hand": (stops) =>
    `Compared with the frame before, aperture and time gave ${exposureChange(stops)}.`,
  "change-of-iso": (stops) =>
    `Compared with the frame before, the ISO gave ${exposureChange(stops)}.`,
};

/** A fact without a size. */
export function evidence(code: FactCode): Evidence {
  return { code, message: FACTS[code], stops: null };
}

/** A fact with its size, stops. */
export function sizedEvidence(code: SizedFactCode, stops: number): Evidence {
  return { code, message: SIZED_FACTS[code](stops), stops };
}

/** Where the needle stood, judged by what the recorded pattern reads in the picture and not by the record. */
export function needleInPicture(stops: number): Evidence {
  return {
    ...sizedEvidence("needle", stops),
    message: `By what the recorded pattern reads here, the exposure was set ${besides(stops, METER_ASKED)}.`,
  };
}

const METER_ASKED = "the meter asked for";

/** A reading this near to middle grey is close to it, stops. */
const CLOSE_STOPS: number = 1 / 3;

function besideGrey(stops: number): string {
  if (Math.abs(stops) <= CLOSE_STOPS) return "close to middle grey";
  return `${stops > 0 ? "lighter" : "darker"} than middle grey`;
}

/** `1 2/3 stops above what the meter asked for`, or `to what the meter asked for`. */
function besides(stops: number, asked: string): string {
  const size = settingSize(stops);
  return size === null
    ? `to what ${asked}`
    : `${size} ${stops > 0 ? "above" : "below"} what ${asked}`;
}

function exposureChange(stops: number): string {
  const size = settingSize(stops);
  return size === null ? "the same exposure" : `${size} ${stops > 0 ? "more" : "less"} exposure`;
}

function lighterThan(stops: number): string {
  const size = Math.abs(stops).toFixed(2);
  if (Number(size) === 0) return "as light as";
  return `${size} stops ${stops > 0 ? "lighter" : "darker"} than`;
}
