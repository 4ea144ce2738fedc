import { createHash } from "node:crypto";
import { configure } from "safe-stable-stringify";

/** Refuses what JSON cannot hold: a row's key must contain everything that the row depends on. */
const stable = configure({ strict: true });

/** Options that do not change a frame's own row: how the run proceeds, and what is written about its rows. */
const BESIDE = new Set(["jobs", "voice", "name", "memory", "processes", "signal"]);

/**
 * Digest of data: the same for the same values, in whatever order their keys were written.
 *
 * @throws {@link Error} for a value that JSON cannot hold
 */
export function digestOf(data: unknown): string {
  return createHash("sha256")
    .update(stable(data) ?? "")
    .digest("hex");
}

/**
 * The options that a row depends on: all but functions, which only watch, and the few that never change a row. A new
 * option counts from the start.
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
 * @param options - not to be changed afterwards, since the options of a run are digested once, with all their kits
 */
export function claimDigest(brief: object, options: object): string {
  const ofOptions = known.get(options) ?? optionsDigest(options);
  known.set(options, ofOptions);
  return digestOf({ brief, options: ofOptions });
}
