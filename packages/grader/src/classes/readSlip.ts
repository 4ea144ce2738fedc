import { shownText } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import type { Slip } from "../model/slip.ts";
import { slipSchema } from "./slipSchema.ts";

/**
 * Reads a slip that a hand-in page saved. Nothing proves that the page wrote it: a slip is not signed.
 *
 * @param text - of the file
 * @param name - of the file, for messages
 * @throws {@link GraderError} `bad-slip` where it is not JSON, not a slip, or of another version
 */
export function readSlip(text: string, name: string): Slip {
  let data: unknown;
  try {
    data = JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (cause) {
    throw refusal(name, "it is not complete JSON; ask for the file again", cause);
  }
  const parsed = slipSchema.safeParse(data);
  if (parsed.success) return parsed.data;
  const [issue] = parsed.error.issues;
  const where = issue?.path.length ? ` at ${shownText(issue.path.map(String).join("."))}` : "";
  throw refusal(name, `it is not one${where} (${issue?.message}); ask for a new one`, parsed.error);
}

function refusal(name: string, why: string, cause: unknown): GraderError {
  return new GraderError(
    "bad-slip",
    `Expected a slip from a hand-in page at ${shownText(name)}, but ${why}`,
    { cause },
  );
}
