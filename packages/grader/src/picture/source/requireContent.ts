import { GraderError } from "../../model/errors.ts";

/**
 * Refuses a file without a byte.
 *
 * @throws {@link GraderError} `empty-file`
 */
export function requireContent(bytes: number): void {
  if (bytes === 0) {
    throw new GraderError("empty-file", "The file is empty; copy it again from the camera or card");
  }
}
