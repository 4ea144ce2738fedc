import { heldFile } from "./write/heldFile.ts";

/** What to give where a result is expected, for messages. */
export const GIVE_RESULT =
  "give a file that grade or check wrote with -f json (for grade, -f ndjson too)";

/** What to do about a result that is not as it was written. */
export const RUN_AGAIN = "run its command again";

/** Why a file that is not JSON is no result of `grade` or `check`, and what to do about it. */
export function whyNoJson(path: string, text: string): string {
  if (/^\s*\{/.test(text)) return `its JSON is cut off or damaged; ${RUN_AGAIN}`;
  return `it is ${heldFile(path).what}; ${GIVE_RESULT}`;
}
