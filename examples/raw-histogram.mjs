// Prints a histogram of each channel of a raw file by its sensor's own codes, before white balance and without a curve.
//   node examples/raw-histogram.mjs samples/harbour/29-slip-and-boathouse.dng
import { gradeFrame } from "@tonefall/grader";

/** Lines of a histogram, one a stop below saturation. */
const STOPS = 8;
const { sensor, failure } = await gradeFrame(process.argv[2], {}, { histograms: true });
if (failure) throw new Error(failure.message);
if (!sensor) throw new Error("This is not a raw file.");

for (const { channel, blackLevel, whiteLevel, clippedShare, histograms } of sensor.channels) {
  console.log(
    `${channel}: black ${blackLevel}, white ${whiteLevel}, ${(100 * clippedShare).toFixed(1)} % clipped`,
  );
  // Thirds of a stop from saturation down: three make a line.
  const lines = Array.from({ length: STOPS }, (_, stop) =>
    histograms.stopsBelowSaturation
      .slice(3 * stop, 3 * stop + 3)
      .reduce((sum, count) => sum + count, 0),
  );
  for (const [stop, count] of lines.entries()) {
    const bar = "#".repeat(Math.round((60 * count) / Math.max(...lines)));
    console.log(`${`${-stop - 1}`.padStart(4)} ${bar}`);
  }
}
