import { GraderError } from "./errors.ts";

/**
 * Refuses one picture, or nothing, where several are expected: the letters of a path are an iterable too.
 *
 * @param name - of the function that was called
 * @throws {@link GraderError} `bad-option`
 */
export function requireSeveral(sources: unknown, name: string): void {
  if (typeof sources === "string" || sources instanceof Uint8Array) {
    throw new GraderError(
      "bad-option",
      `Expected several pictures, as in ${name}([picture]), but received one`,
    );
  }
  const given = sources as Partial<Iterable<unknown> & AsyncIterable<unknown>> | null | undefined;
  if (given?.[Symbol.iterator] || given?.[Symbol.asyncIterator]) return;
  throw new GraderError(
    "bad-option",
    `Expected a list of pictures for ${name} but received ${sources === null ? "null" : typeof sources}`,
  );
}
