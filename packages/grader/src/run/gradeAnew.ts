import type { ReadyBrief } from "../brief/brief.ts";
import type { FrameResult } from "../model/result.ts";
import { limitsIn } from "../picture/decodeLimits.ts";
import type { Source } from "../picture/source/openSource.ts";
import type { GradeOptions } from "./gradeOptions.ts";
import { type DecodableFile, gradeRead } from "./gradeRead.ts";
import { readFile } from "./readFile.ts";
import { withDecoded } from "./withDecoded.ts";

/**
 * Grades one frame by itself, from its file: the row that memories keep, before the other rows of a run explain it.
 *
 * Nothing about the file makes it throw: what cannot be read becomes a result with a `failure`.
 *
 * @param brief - its texts have been read
 */
export async function gradeAnew(
  source: Source,
  brief: ReadyBrief,
  options: GradeOptions,
): Promise<FrameResult> {
  const { result, file, record } = await readFile(source, options.name, limitsIn(options));
  const decodable: DecodableFile | null = file &&
    record && {
      input: file.input,
      withDecoded: (decoding, work) => withDecoded({ file, record }, options, decoding, work),
    };
  return gradeRead(result, brief, decodable, options);
}
