import { type Command, Option } from "commander";
import type { ReadyClass } from "../classes/classFile.ts";
import { classFileAt } from "../classes/classFileAt.ts";
import type { MarkOptions } from "../classes/markClass.ts";
import { readClass } from "../classes/readClass.ts";
import { readNames } from "../classes/readNames.ts";
import { overridesPath } from "../classes/readOverrides.ts";
import { GraderError } from "../model/errors.ts";
import type { FrameResult } from "../model/result.ts";
import {
  type ClassOutputFlags,
  type ClassOutputs,
  classOutputs,
  withClassOutputs,
} from "./classOutputs.ts";
import { GROUPS } from "./help.ts";
import { kitOption, kitsAtHand } from "./kitOption.ts";
import {
  forceOption,
  jobsOption,
  type LimitFlags,
  limitsFromFlags,
  outputOption,
  type PrecisionFlags,
  precisionOf,
  withLimitOptions,
  withPrecision,
} from "./options.ts";
import type { claimPlaces } from "./output.ts";
import { withProgress } from "./progress.ts";
import type { Streams } from "./streams.ts";

/** Values of the options that every command has that marks a class. */
export interface ClassFlags<Format extends string>
  extends ClassOutputFlags,
    LimitFlags,
    PrecisionFlags {
  readonly format: Format;
  readonly output?: string;
  readonly force?: true;
  readonly names?: true;
  readonly kit?: string;
  readonly cache: boolean;
  readonly jobs?: number;
}

/** Adds the options of {@link ClassFlags} but those of long runs, which {@link withClassRuns} adds. */
export function withClassOptions(command: Command, formats: readonly string[]): Command {
  command
    .optionsGroup(GROUPS.output)
    .option("--names", "show names instead of codes, in the table and the report only")
    .addOption(
      new Option("-f, --format <format>", "format of the result").choices(formats).default("table"),
    )
    .addOption(outputOption())
    .addOption(forceOption());
  return withPrecision(withLimitOptions(withClassOutputs(command))).addOption(kitOption());
}

/** Adds the options that a long run of a class needs. */
export function withClassRuns(command: Command): Command {
  return command
    .optionsGroup(GROUPS.longRuns)
    .option("--no-cache", "grade every frame again, even those in the cache")
    .addOption(jobsOption());
}

/** A class that a command is about to mark. */
export interface OpenedClass {
  /** Path of the class file. */
  readonly file: string;
  readonly ready: ReadyClass;
  /** By code; null where they were not asked for. */
  readonly names: ReadonlyMap<string, string> | null;
  readonly outputs: ClassOutputs;
}

/**
 * Reads a class, and claims every place that the run writes to.
 *
 * @param others - places of options that this command alone has
 * @throws {@link GraderError} `bad-class`, `bad-option`, or `would-overwrite`
 */
export async function openClass(
  path: string,
  flags: ClassFlags<Parameters<typeof claimPlaces>[0][number]["kind"]>,
  others: Parameters<typeof claimPlaces>[0] = [],
): Promise<OpenedClass> {
  if (flags.names && flags.format !== "table") {
    throw new GraderError(
      "bad-option",
      `Expected --names with the table but received it with ${flags.format}: what can be shared holds codes alone`,
    );
  }
  const file = await classFileAt(path);
  const ready = await readClass(file);
  const names = flags.names ? await readNames(ready) : null;
  const outputs = await classOutputs(
    ready,
    flags,
    [{ path: flags.output, kind: flags.format }, ...others],
    { reads: [file, overridesPath(file), ready.namesFile ?? undefined], force: flags.force },
    names,
  );
  return { file, ready, names, outputs };
}

/** How the frames of a class are graded; kits are looked for in the folder of all hand-ins. */
export async function gradingOptions(
  { folder }: ReadyClass,
  flags: Omit<ClassFlags<string>, "format">,
): Promise<MarkOptions> {
  return {
    kits: await kitsAtHand(flags.kit, [{ path: `${folder}/x`, root: folder }]),
    precision: precisionOf(flags),
    ...limitsFromFlags(flags),
    ...(flags.jobs === undefined ? {} : { jobs: flags.jobs }),
  };
}

/** Passes rows on while a progress bar shows how many there are. */
export function showProgress(streams: Streams): NonNullable<MarkOptions["pass"]> {
  return (rows: AsyncIterable<FrameResult>, total: number) => withProgress(rows, total, streams);
}
