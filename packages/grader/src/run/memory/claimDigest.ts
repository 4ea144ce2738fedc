import { createHash } from "node:crypto";
import { configure } from "safe-stable-stringify";

/** What JSON cannot hold is an error here: nothing that a row depends on may be missing from its key. */
const stable = configure({ strict: true });

/** Options that a frame's own row does not depend on: how a run proceeds, and what is said of its rows afterwards. */
const BESIDE = new Set(["jobs", "voice", "name", "memory", "processes"]);

/**
 * Digest of data: the same for the same values, in whatever order their keys were written.
 *
 * @throws {@link Error} where a value is none that JSON can hold
 */
export function digestOf(data: unknown): string {
  return createHash("sha256")
    .update(stable(data) ?? "")
    .digest("hex");
}

/**
 * The options that a row depends on: all but functions, which only watch, and the few that are known not to change rows. A
 * new option of grading is among them from the start.
 */
export function optionsOfRow<T extends object>(options: T): Partial<T> {
  const own = Object.entries(options).filter(
    ([name, value]) => !BESIDE.has(name) && typeof value !== "function",
  );
  return Object.fromEntries(own) as Partial<T>;
}

/** Digest of {@link optionsOfRow}. */
export function optionsDigest(options: object): string {
  return digestOf(optionsOfRow(options));
}

const known = new WeakMap<object, string>();

/**
 * Digest of what a row depends on beside its file: the whole brief as read, and {@link optionsDigest}.
 *
 * @param options - not to be changed afterwards: those of a run, with all their kits, are digested once
 */
export function claimDigest(brief: object, options: object): string {
  const ofOptions = known.get(options) ?? optionsDigest(options);
  known.set(options, ofOptions);
  return digestOf({ brief, options: ofOptions });
}
