// Prints what each metering pattern would read in a picture, in stops from middle grey.
//   node examples/meter-patterns.mjs samples/harbour/15-doorway-average.jpg
import { meterFrame } from "@tonefall/grader";

const { readings, failure } = await meterFrame(process.argv[2]);
if (failure) throw new Error(failure.message);

for (const { pattern, stops, estimate } of readings) {
  console.log(
    `${pattern.padEnd(16)} ${stops.toFixed(2).padStart(6)}${estimate ? "  an estimate" : ""}`,
  );
}
