// Grades pictures as they come, a few in memory at a time, and prints what each is.
//   node examples/grade-stream.mjs tar samples/harbour/01-*.jpg samples/harbour/02-*.jpg
import { gradeFrames } from "@tonefall/grader";

const [place, ...paths] = process.argv.slice(2);

for await (const { file, error, verdict, failure } of gradeFrames(paths, {
  place,
  region: "spot",
})) {
  const said = failure
    ? failure.message
    : `${verdict} (${error?.stops.toFixed(2) ?? "no error known"})`;
  console.log(`${file}: ${said}`);
}
