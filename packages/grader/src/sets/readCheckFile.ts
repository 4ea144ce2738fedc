import { readFile } from "node:fs/promises";
import type { CheckResult } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { checkResultSchema } from "./checkSchema.ts";

/**
 * Reads a result that `tonefall check -f json` wrote.
 *
 * @throws {@link GraderError} `bad-option` where the file cannot be read or is not such a result
 */
export async function readCheckFile(path: string): Promise<CheckResult> {
  let data: unknown;
  try {
    data = JSON.parse(await readFile(path, "utf8"));
  } catch (cause) {
    throw refusal(path, `it cannot be read: ${(cause as Error).message}`, cause);
  }
  const parsed = checkResultSchema.safeParse(data);
  // As it was written, its keys in their order: what is joined has the bytes of one run.
  if (parsed.success) return data as CheckResult;
  if (isMarkedClass(data)) {
    throw refusal(
      path,
      "it is one of class mark: run its parts with one cache, then tonefall class mark once without --shard",
      parsed.error,
    );
  }
  const [issue] = parsed.error.issues;
  const where = issue?.path.length ? ` at ${issue.path.map(String).join(".")}` : "";
  throw refusal(path, `it is not one${where}: ${issue?.message}`, parsed.error);
}

function isMarkedClass(data: unknown): boolean {
  return typeof data === "object" && data !== null && "class" in data && "exercises" in data;
}

function refusal(path: string, why: string, cause: unknown): GraderError {
  return new GraderError(
    "bad-option",
    `Expected a result of tonefall grade or tonefall check at ${path}, but ${why}`,
    { cause },
  );
}
