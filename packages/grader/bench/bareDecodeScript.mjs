// A script as one would write it: decodes the files that it is given, some at once, and throws the pixels away.
// `node bareDecodeScript.mjs 2 a.jpg b.jpg`.
import { bareDecodeOf } from "./bareDecode.mjs";

const [jobs, ...paths] = process.argv.slice(2);
await bareDecodeOf(paths, Number(jobs));
