import type { Command } from "commander";
import { type Brief, readyBrief } from "../brief/brief.ts";
import type { BriefFile } from "../brief/briefFile.ts";
import { BRIEF_KINDS, likelyMeant } from "../brief/likelyMeant.ts";
import { GraderError } from "../model/errors.ts";
import type { Basis } from "../model/result.ts";
import type { FoundFrame } from "../run/findFrames.ts";
import { GROUPS } from "./help.ts";
import { readStdin, STDIN, STDIN_NAME } from "./stdin.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

/** Values of the options that {@link withBriefOptions} adds. */
export interface BriefFlags {
  readonly place?: string;
  readonly region?: string;
  readonly tolerance?: string;
  readonly basis?: Basis;
  readonly transfer?: string;
  readonly brief?: string;
}

/** The briefs of a run, from the command line and from a file. */
export interface Briefs {
  /**
   * The brief of each frame; options on the command line override the file.
   *
   * @throws {@link GraderError} `bad-brief` when no entry of the file matches any of the frames
   */
  readonly briefsFor: (frames: readonly FoundFrame[]) => readonly Brief[];
  /** All that the briefs are made from, as data. */
  readonly said: unknown;
  /** Reports on stderr the globs of the file that matched no frame; to be called after the last one. */
  readonly tellUnmatched: (streams: Streams) => void;
}

/** Adds the options that say what frames were meant to show. */
export function withBriefOptions(command: Command): Command {
  return command
    .optionsGroup(GROUPS.subject)
    .option(
      "-p, --place <tone>",
      "placement: a tone (snow), stops (-2), a range (1.5..2.3), a reflectance (36%) or a zone (VI)",
    )
    .option("-r, --region <region>", "the subject: whole, spot, box:x,y,w,h and others")
    .option("-t, --tolerance <stops>", "how far the tone may miss, such as 1/3")
    .option("--brief <file>", "file of placements by file name, or - to pipe one in")
    .option(
      "--transfer <curve>",
      "tone curve of pictures that name none: linear, or gamma 2.2 (default: sRGB)",
    );
}

/** What `--help-all` says about the options of {@link withBriefOptions}. */
export const BRIEF_DETAILS = `Regions, in fractions of the upright frame:
  whole, spot, partial, subject-area, box:x,y,w,h, circle:x,y,r,
  ellipse:x,y,rx,ry, polygon:x,y x,y x,y
or marked in the file: iptc:NAME, mwg:NAME, tagged (where there is only one)

A brief file maps file names, or globs of them, to the same keys:
  "dark-*.jpg": { place: tar, region: "box:0.3,0.3,0.4,0.4", tolerance: 1/3 }

A picture's own keywords count where neither the options nor the brief file
say anything: tonefall:place=snow, tonefall:region=box:0.3 0.3 0.4 0.4,
tonefall:tolerance=0.5. Options override the brief file.`;

/**
 * Reads the briefs that the options name, before a frame is opened, so that a mistake costs no time.
 *
 * @throws {@link GraderError} when the command line or the brief file is wrong
 */
export async function briefsOf(flags: BriefFlags, streams: Streams): Promise<Briefs> {
  const typed = typedBrief(flags);
  requireReadable(typed);
  const file = flags.brief === undefined ? null : await readBriefs(flags.brief, streams);
  const name = flags.brief === STDIN ? STDIN_NAME : `${flags.brief}`;
  // A glob that matches nothing in a folder is likely a mistake; among files named one by one it need not be.
  let searched = false;
  return {
    said: { typed, file: file?.entries ?? null },
    briefsFor: (frames) => {
      searched = frames.some(({ root }) => root !== null);
      if (!file) return frames.map(() => typed);
      const briefs = frames.map(({ path, root }) => ({ ...file.briefFor(path, root), ...typed }));
      const idle = file.unmatched();
      if (idle.length === file.entries.length) throw noneMatches(name, idle, frames);
      return briefs;
    },
    tellUnmatched: (streams) => {
      const idle = file?.unmatched() ?? [];
      const unmatched = searched ? idle : idle.filter(isMistyped);
      if (unmatched.length === 0) return;
      tell(streams, `no frame matches ${quoted(unmatched)} in ${name}${hint(unmatched)}`);
    },
  };
}

/**
 * Refuses options that cannot be read, with what was likely meant.
 *
 * @throws {@link GraderError} with the code of the option
 */
function requireReadable(typed: Brief): void {
  for (const [key, value] of Object.entries(typed) as [keyof Brief, unknown][]) {
    const read = (text: unknown) => readyBrief({ [key]: text });
    try {
      read(value);
    } catch (error) {
      const meant = likelyMeant(BRIEF_KINDS[key], value, read);
      if (!(error instanceof GraderError) || meant === null) throw error;
      const text = /\s/.test(meant) ? `"${meant}"` : meant;
      throw new GraderError(error.code, `${error.message}\nWrite: --${key} ${text}`);
    }
  }
}

async function readBriefs(path: string, streams: Streams): Promise<BriefFile> {
  // What reads YAML is half of the code of a command; most runs have no brief file.
  const { parseBriefFile, readBriefFile } = await import("../brief/briefFile.ts");
  if (path !== STDIN) return readBriefFile(path);
  const { LARGEST_YAML_BYTES } = await import("../brief/yaml/yamlDocument.ts");
  const bytes = await readStdin(streams, LARGEST_YAML_BYTES);
  return parseBriefFile(bytes, STDIN_NAME);
}

/** Globs that a message names. */
const MOST_GLOBS = 5;

function noneMatches(
  name: string,
  globs: readonly string[],
  frames: readonly FoundFrame[],
): GraderError {
  const among = frames.length === 1 ? "the frame" : `any of the ${frames.length} frames, such as`;
  return new GraderError(
    "bad-brief",
    `${name}: no entry matches ${among} ${frames[0]?.path}. The entries are ${quoted(globs)}${hint(globs)}`,
  );
}

function quoted(globs: readonly string[]): string {
  const named = globs.slice(0, MOST_GLOBS).map((glob) => `"${glob}"`);
  const more = globs.length > named.length ? ` and ${globs.length - named.length} more` : "";
  return named.join(", ") + more;
}

const CURLY = /[\u2018-\u201F]/g;

/** A backslash between folders, as Windows shows paths; before a bracket it only takes the bracket's meaning away. */
const BACKSLASH = /\\(?=[^?[\](){}!+@|,])/g;

function isMistyped(glob: string): boolean {
  return glob.search(CURLY) >= 0 || glob.search(BACKSLASH) >= 0;
}

/** What is known to go wrong with a glob that matches nothing. */
function hint(globs: readonly string[]): string {
  const glob = globs.find(isMistyped);
  if (glob === undefined) return "";
  const write = `Write: "${glob.replace(CURLY, "").replace(BACKSLASH, "/")}"`;
  // Word processors turn straight quotes into curly ones, which YAML takes for part of the name.
  if (glob.search(CURLY) >= 0)
    return `\nThe curly quotes in ${glob} count as part of the name. ${write}`;
  return `\nA brief file separates folders by /, on every system. ${write}`;
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
