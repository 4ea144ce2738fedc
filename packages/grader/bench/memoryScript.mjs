// What parts/memory.mjs looks at: grades the files named in PATHS, or decodes them where MODE is "bare decode".
import { gradeFrames } from "@tonefall/grader";
import { bareDecode, JOBS } from "./timing.mjs";

const { PATHS = "[]", MODE } = process.env;
/** @type {string[]} */
const paths = JSON.parse(PATHS);
if (MODE === "bare decode") await bareDecode(paths);
else {
  const precision = /** @type {import("@tonefall/grader").Precision} */ (MODE);
  for await (const { failure } of gradeFrames(paths, { place: 0 }, { jobs: JOBS, precision })) {
    if (failure) throw new Error(failure.message);
  }
}
