import { readFile } from "node:fs/promises";
import type { GraderError } from "../model/errors.ts";
import { whyUnreadable } from "../model/whyUnreadable.ts";
import { whyNoJson } from "./whyNoResult.ts";

/**
 * The JSON of a file that should hold a result.
 *
 * @param refusal - the error for a file that does not, from its path, why not, and what was thrown
 * @throws what `refusal` gives
 */
export async function readJsonResult(
  path: string,
  refusal: (path: string, why: string, cause: unknown) => GraderError,
): Promise<unknown> {
  const text = await readFile(path, "utf8").catch((cause) => {
    throw refusal(path, whyUnreadable(cause), cause);
  });
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw refusal(path, whyNoJson(path, text), cause);
  }
}
