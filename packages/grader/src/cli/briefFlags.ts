import type { Command } from "commander";
import { type Brief, readyBrief } from "../brief/brief.ts";
import { type BriefFile, readBriefFile } from "../brief/briefFile.ts";
import type { Basis } from "../model/result.ts";
import type { FoundFrame } from "../run/findFrames.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/** What the options of {@link withBriefOptions} bring. */
export interface BriefFlags {
  readonly place?: string;
  readonly region?: string;
  readonly tolerance?: string;
  readonly basis?: Basis;
  readonly transfer?: string;
  readonly brief?: string;
}

/** The briefs of a run: from the command line, and from a file. */
export interface Briefs {
  /** The brief of one frame; options on the command line override the file. */
  readonly briefOf: (frame: FoundFrame) => Brief;
  /** All that the briefs are made from, as data. */
  readonly said: unknown;
  /** Says on stderr which globs of the file matched no frame; to be called after the last one. */
  readonly tellUnmatched: (streams: Streams) => void;
}

/** Adds the options that say what frames were asked to show. */
export function withBriefOptions(command: Command): Command {
  return command
    .option(
      "-p, --place <tone>",
      "placement: a tone (snow), stops (-2), a range (1.5..2.3), 36%, or a zone (VI)",
    )
    .option(
      "-r, --region <region>",
      "whole, spot, partial, subject-area, box:x,y,w,h, circle:x,y,r, ellipse:x,y,rx,ry, polygon:x,y x,y x,y; fractions of the upright frame; or one marked in the file: iptc:NAME, mwg:NAME, tagged (the only one)",
    )
    .option("-t, --tolerance <stops>", "how far the tone may miss, such as 1/3")
    .option(
      "--transfer <curve>",
      "what codes mean in pictures that do not say: linear, or gamma 2.2 (default: sRGB)",
    )
    .option(
      "--brief <file>",
      "YAML file of briefs by glob; the options above override it, and it overrides keywords in the pictures",
    );
}

/**
 * Reads the briefs that options bring, before a frame is opened, so that a slip costs no time.
 *
 * @throws {@link GraderError} when the command line or the brief file is wrong
 */
export async function briefsOf(flags: BriefFlags): Promise<Briefs> {
  const typed = typedBrief(flags);
  readyBrief(typed);
  const file: BriefFile | null =
    flags.brief === undefined ? null : await readBriefFile(flags.brief);
  // A glob that matches nothing in a folder is likely a slip; of files named one by one it says nothing.
  let searched = false;
  return {
    said: { typed, file: file?.entries ?? null },
    briefOf: ({ path, root }) => {
      searched ||= root !== null;
      return file ? { ...file.briefFor(path, root), ...typed } : typed;
    },
    tellUnmatched: (streams) => {
      const idle = searched ? (file?.unmatched() ?? []) : [];
      if (idle.length > 0) {
        tell(streams, `no frame matches "${idle.join('", "')}" in ${flags.brief}`);
      }
    },
  };
}

function typedBrief({ place, region, tolerance, basis, transfer }: BriefFlags): Brief {
  return {
    ...(place === undefined ? {} : { place }),
    ...(region === undefined ? {} : { region }),
    ...(tolerance === undefined ? {} : { tolerance }),
    ...(basis === undefined ? {} : { basis }),
    ...(transfer === undefined ? {} : { transfer }),
  };
}
