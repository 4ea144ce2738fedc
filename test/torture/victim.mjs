// Grades what it is sent, one file after another, and answers what became of each. A process of its own, so that a
// decoder that takes the whole process down is seen by the one who sent the file.
import { readFileSync } from "node:fs";
import {
  checkSet,
  GraderError,
  gradeFrame,
  readBriefFile,
  readKitFile,
  SCHEMA_VERSION,
  summarise,
} from "@tonefall/grader";
import { Ajv2020 } from "ajv/dist/2020.js";

const schema = new URL("../../packages/grader/schema/results.schema.json", import.meta.url);
const isResult = new Ajv2020({ allowUnionTypes: true }).compile(
  JSON.parse(readFileSync(schema, "utf8")),
);

/** @typedef {import("./sendTo.mjs").Request} Request */

/**
 * What a row promises, and this one breaks; null where all is held.
 *
 * @param {import("@tonefall/grader").FrameResult} row
 * @returns {string | null}
 */
function broken(row) {
  if (row.failure?.code === "internal") return `an error of our own: ${row.failure.message}`;
  if (row.failure && !/^[A-Z"].{20,}/.test(row.failure.message))
    return "a failure without a sentence";
  if (!row.failure && !row.fall && row.verdict !== "undecided")
    return "neither a fall nor a failure";
  if (!isFinite_(row)) return "a number that is not finite";
  const document = { schemaVersion: SCHEMA_VERSION, frames: [row], summary: summarise([row]) };
  if (!isResult(JSON.parse(JSON.stringify(document)))) {
    const [first] = isResult.errors ?? [];
    return `against the schema: ${first?.instancePath} ${first?.message}`;
  }
  return null;
}

/**
 * @param {unknown} value
 * @returns {boolean}
 */
function isFinite_(value) {
  if (typeof value === "number") return Number.isFinite(value);
  if (value === null || typeof value !== "object") return true;
  return Object.values(value).every(isFinite_);
}

/**
 * Reads a text as every kind of file of ours; each must take it or refuse it in one line, and one to write instead.
 *
 * @param {string} path
 */
async function readText(path) {
  for (const read of [readBriefFile, readKitFile, checkSet]) {
    try {
      await read(path);
    } catch (error) {
      const refused =
        error instanceof GraderError && /^[^\n]*(?:\nWrite: [^\n]*)?$/.test(error.message);
      if (!refused) return `${read.name}: ${said(error)}`;
    }
  }
  return "polluted" in {} ? "prototypes were changed" : null;
}

/** @param {Extract<Request, { source: unknown }>} request */
async function gradeOne({ source, brief, options }) {
  try {
    const row = await gradeFrame(source, brief, options);
    return { code: row.failure?.code ?? null, fall: row.fall?.stops ?? null, broken: broken(row) };
  } catch (error) {
    return { code: null, fall: null, broken: `thrown: ${said(error)}` };
  }
}

/** @param {unknown} error */
function said(error) {
  return error instanceof Error ? error.stack : String(error);
}

process.on("message", async (/** @type {Request} */ request) => {
  const answer =
    "text" in request ? { broken: await readText(request.text) } : await gradeOne(request);
  process.send?.({ ...answer, rss: process.memoryUsage.rss() });
});
