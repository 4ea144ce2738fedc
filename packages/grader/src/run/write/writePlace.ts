import { type BigIntStats, readFileSync, realpathSync, statSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { GraderError } from "../../model/errors.ts";
import { heldFile } from "./heldFile.ts";
import type { WrittenKind } from "./heldText.ts";

/** A place that may be written. Writers take no path but this, so that none can pass {@link writePlace} by. */
export interface WritePlace {
  /** As given. */
  readonly path: string;
  /** The option that named it, for messages. */
  readonly option: string;
  /**
   * Looks again whether nothing stands there that has to stay; to be called right before something is put there.
   *
   * @param path - where it differs: what a link leads to, or another file that is written along
   * @throws {@link GraderError} `would-overwrite`
   */
  requireFree(path?: string): void;
}

/** What is to be written, and what may give way to it. */
export interface WriteRequest {
  /** Of the file to write. */
  readonly path: string;
  /** A file of the same kind that Tonefall wrote gives way. */
  readonly kind: WrittenKind;
  /**
   * The option that names the file, for messages.
   * @default "--output"
   */
  readonly option?: string;
  /** Files that the run reads: none of them gives way. */
  readonly reads?: readonly string[];
  /** Files that the run writes besides: none of them can be this one. */
  readonly writes?: readonly string[];
  /**
   * The caller has read what stands there and knows it as its own, damaged or not.
   * @default false
   */
  readonly known?: boolean;
  /** The whole text that may stand there, for a file that is brought up to date. */
  readonly over?: string;
  /**
   * Write over text that is no brief, set, class file, slip or sidecar, and that this run does not read.
   * @default false
   */
  readonly force?: boolean;
}

/** Why a file has to stay as it is. */
interface Reason {
  /** Completes a sentence that begins with the file. */
  readonly is: string;
  /** What may be done other than to name another file; begins with "or". */
  readonly or?: string;
}

const FORCE = "or give --force to write over it";

/**
 * Claims a place to write, before any work is done for it.
 *
 * Only an empty file or a former output of the same kind is replaced; a made frame, and text of other kinds, only by force.
 * Pictures, briefs, sets and what else people write for Tonefall are never replaced, and neither is what the run reads. A
 * file's kind is recognised by its content. Whether the run uses it is decided by the file itself, through links and any
 * spelling of its path. Devices and pipes have nothing to lose.
 *
 * @throws {@link GraderError} `would-overwrite`
 */
export function writePlace(request: WriteRequest): WritePlace {
  const { path, option = "--output" } = request;
  const requireFree = (place: string = path): void => {
    const reason = reasonToStay(place, request);
    if (reason === null) return;
    const anyway = reason.or ? `, ${reason.or}` : "";
    throw new GraderError(
      "would-overwrite",
      `Expected a file to write for ${option} but ${place} is ${reason.is}; name another file${anyway}`,
    );
  };
  requireFree();
  return { path, option, requireFree };
}

function reasonToStay(path: string, request: WriteRequest): Reason | null {
  const { kind, reads = [], writes = [], over, known = false, force = false } = request;
  const there = lookAt(path);
  if (there?.isDirectory()) return { is: "a folder" };
  if (there && !there.isFile()) return null;
  if (isAmong(writes, path, there)) {
    return { is: "written by another option of this run" };
  }
  if (known) return null;
  const held = there && there.size > 0n ? heldFile(path) : null;
  if (held?.kind === "made-frame" && kind === held.kind) {
    // It can be made again, but it may hang on somebody's wall: only who says so has it replaced.
    return force ? null : { is: `${held.what} already`, or: FORCE };
  }
  if (held && !held.isText) return { is: `${held.what}, which is never written over` };
  if (isAmong(reads, path, there)) return { is: `${held?.what ?? "a file"} that this run reads` };
  if (!held) return null;
  const givesWay = over === undefined ? held.kind === kind : readFileSync(path, "utf8") === over;
  if (givesWay) return null;
  if (held.isPersons) {
    return { is: `${held.what} already`, or: "or delete it first if nobody needs it" };
  }
  return force ? null : { is: `${held.what} already`, or: FORCE };
}

/** Whether a path leads to one of some files. What does not exist yet has only its path. */
function isAmong(files: readonly string[], path: string, there: BigIntStats | null): boolean {
  let real: string | null = null;
  return files.some((file) => {
    const other = lookAt(file);
    if ((there === null) !== (other === null)) return false;
    // Some file systems number no files.
    if (there && other && there.ino !== 0n && other.ino !== 0n) {
      return there.ino === other.ino && there.dev === other.dev;
    }
    real ??= realPath(path);
    return real === realPath(file);
  });
}

/** Null where nothing is, or nothing that can be reached: then writing fails by itself. */
function lookAt(path: string): BigIntStats | null {
  try {
    return statSync(path, { bigint: true });
  } catch {
    return null;
  }
}

/** Where a path leads, or would lead if there were a file. */
function realPath(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    const folder = dirname(resolve(path));
    return join(folder === resolve(path) ? folder : realPath(folder), basename(path));
  }
}
