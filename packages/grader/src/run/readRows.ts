import { open } from "node:fs/promises";
import { z } from "zod";
import { GraderError } from "../model/errors.ts";
import { type FrameResult, SCHEMA_VERSION } from "../model/result.ts";
import { whyUnreadable } from "../model/whyUnreadable.ts";
import { wholeLines } from "./memory/wholeLines.ts";
import { readJsonResult } from "./readJsonResult.ts";
import { GIVE_RESULT } from "./whyNoResult.ts";

/** Enough of a row to recognise it; Tonefall wrote the rest itself. */
const rowSchema: z.ZodType<object> = z.looseObject({
  file: z.string(),
  notes: z.array(z.unknown()),
  failure: z.unknown(),
  verdict: z.unknown(),
});
const lineSchema = z.looseObject({ schemaVersion: z.number(), file: z.string() });
const documentSchema = z.object({ schemaVersion: z.number(), frames: z.array(z.unknown()) });

/**
 * Reads the rows that `tonefall grade -f ndjson` or `-f json` wrote; ndjson one row at a time.
 *
 * @throws {@link GraderError} `bad-option` when the file cannot be read, holds no such result or has another schema version
 */
export async function* readRows(path: string): AsyncGenerator<FrameResult> {
  if (!(await isLines(path))) {
    const document = documentSchema.safeParse(await readJsonResult(path, refusal));
    if (!document.success) throw refusal(path, `it is none; ${GIVE_RESULT}`);
    requireVersion(path, document.data.schemaVersion);
    for (const row of document.data.frames) yield asRow(path, row);
    return;
  }
  for await (const line of linesOf(path)) {
    const { schemaVersion, ...row } = lineSchema.safeParse(line).data ?? {};
    requireVersion(path, schemaVersion);
    yield asRow(path, row);
  }
}

/** Bytes at the start of a file that show what it holds. */
const HEAD_BYTES = 1024;

/**
 * Whether a file holds graded rows rather than the result of a check, judged by its beginning. An empty file does: it is a
 * part of a run without frames.
 */
export async function holdsRows(path: string): Promise<boolean> {
  const file = await open(path, "r").catch(() => null);
  if (!file) return false;
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    const head = buffer.toString("utf8", 0, bytesRead);
    return /^\s*(?:$|\{\s*"(?:schemaVersion"\s*:\s*\d+\s*,\s*")?(?:frames|file)")/.test(head);
  } catch {
    return false;
  } finally {
    await file.close();
  }
}

/** Whether a file holds ndjson of rows; one without content is a part without frames. */
async function isLines(path: string): Promise<boolean> {
  for await (const line of linesOf(path)) return lineSchema.safeParse(line).success;
  return true;
}

/** Each line parsed; null for one that is not JSON, and for a last line that breaks off. */
async function* linesOf(path: string): AsyncGenerator<unknown> {
  const file = await open(path, "r").catch((cause) => {
    throw refusal(path, whyUnreadable(cause), cause);
  });
  try {
    let read = 0;
    for await (const line of wholeLines(file)) {
      read += line.length + 1;
      yield parsed(line.toString());
    }
    // A torn line is not a row: whoever reads it reports it.
    if (read < (await file.stat()).size) yield null;
  } finally {
    await file.close();
  }
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function requireVersion(path: string, version: number | undefined): void {
  if (version === SCHEMA_VERSION) return;
  throw refusal(
    path,
    version === undefined
      ? "one of its lines is cut off or is not a row"
      : `it has schema version ${version}, and this Tonefall writes ${SCHEMA_VERSION}; grade the frames again`,
  );
}

function asRow(path: string, row: unknown): FrameResult {
  if (rowSchema.safeParse(row).success) return row as FrameResult;
  throw refusal(path, "one of its rows was not written by grade");
}

function refusal(path: string, why: string, cause?: unknown): GraderError {
  return new GraderError(
    "bad-option",
    `Expected a result of tonefall grade -f json or ndjson at ${path}, but ${why}`,
    cause === undefined ? {} : { cause },
  );
}
