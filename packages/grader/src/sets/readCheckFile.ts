import { readFile } from "node:fs/promises";
import { z } from "zod";
import { CHECK_VERSION, type CheckResult } from "../model/checkResult.ts";
import { GraderError } from "../model/errors.ts";
import { whyUnreadable } from "../model/whyUnreadable.ts";
import { GIVE_RESULT, RUN_AGAIN, whyNoJson } from "../run/whyNoResult.ts";
import { checkResultSchema } from "./checkSchema.ts";

/**
 * Reads a result that `tonefall check -f json` wrote.
 *
 * @throws {@link GraderError} `bad-option` where the file cannot be read or is not such a result
 */
export async function readCheckFile(path: string): Promise<CheckResult> {
  const data = await readJson(path);
  const parsed = checkResultSchema.safeParse(data);
  // As it was written, its keys in their order: what is joined has the bytes of one run.
  if (parsed.success) return data as CheckResult;
  throw refusal(path, whyNoCheck(data, parsed.error), parsed.error);
}

async function readJson(path: string): Promise<unknown> {
  const text = await readFile(path, "utf8").catch((cause) => {
    throw refusal(path, whyUnreadable(cause), cause);
  });
  try {
    return JSON.parse(text);
  } catch (cause) {
    throw refusal(path, whyNoJson(path, text), cause);
  }
}

/** What is wrong with JSON that is no whole result of a check, and what to do about it. */
function whyNoCheck(data: unknown, { issues: [issue] }: z.ZodError): string {
  if (isMarkedClass(data)) {
    return "it is one of class mark: run its parts with one cache, then tonefall class mark once without --shard";
  }
  const begun = beginningSchema.safeParse(data).data;
  if (begun === undefined) return `it holds neither; ${GIVE_RESULT}`;
  if ("frames" in begun)
    return "it is one of grade, and the first file is one of check; merge them apart";
  if (begun.schemaVersion !== CHECK_VERSION) {
    return `it has schema version ${begun.schemaVersion}, and this Tonefall writes ${CHECK_VERSION}; ${RUN_AGAIN}`;
  }
  const where = issue?.path.length ? ` at ${issue.path.map(String).join(".")}` : "";
  return `it is not as check wrote it${where} (${issue?.message}); ${RUN_AGAIN}`;
}

/** As much of a result as tells whose it is. */
const beginningSchema = z.union([
  z.object({ schemaVersion: z.number(), sets: z.array(z.unknown()) }),
  z.object({ schemaVersion: z.number(), frames: z.array(z.unknown()) }),
]);

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
