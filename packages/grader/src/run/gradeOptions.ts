import type { JudgingOptions } from "./judgingOptions.ts";
import type { RowMemory } from "./memory/rowMemory.ts";

/** How a frame is graded, apart from its brief. */
export interface GradeOptions extends JudgingOptions {
  /**
   * Where rows are kept that need not be graded again, in the order in which they are searched: a journal, a cache. With a
   * `look` none is searched, since a remembered row has no pixels.
   * @default every frame is graded
   */
  readonly memory?: readonly RowMemory[];
  /**
   * Decode and measure in a process beside this one, of which there are as many as processors: a picture that crashes
   * its decoder ends only that process. Bytes, and frames with a `look`, stay in this one.
   * @default false for one frame; for many, true where the run is long enough to gain from it
   */
  readonly processes?: boolean;
  /**
   * The name the result carries where the source is bytes or a Blob.
   * @default the name of a `File`, otherwise "(bytes)"
   */
  readonly name?: string;
}
