import { Command, CommanderError } from "commander";
import { GraderError } from "../errors.ts";
import { version } from "../version.ts";
import { cacheCommand } from "./cacheCommand.ts";
import { checkCommand } from "./checkCommand.ts";
import { EXIT } from "./exitCodes.ts";
import { gradeCommand } from "./gradeCommand.ts";
import { kitCommand } from "./kitCommand.ts";
import { mergeCommand } from "./mergeCommand.ts";
import { meterCommand } from "./meterCommand.ts";
import { newSetCommand } from "./newSetCommand.ts";
import { readCommand } from "./readCommand.ts";
import type { Streams } from "./streams.ts";
import { safeLines, tell } from "./tell.ts";
import { tonesCommand } from "./tonesCommand.ts";

/**
 * Runs the command line.
 *
 * @param arguments_ - what was typed after the command's name
 * @param streams - where to write, and the environment
 * @returns the exit code; results are on stdout, everything else on stderr
 */
export async function run(arguments_: readonly string[], streams: Streams): Promise<number> {
  let code: number = EXIT.ok;
  const done = (result: number): void => {
    code = result;
  };
  const program = new Command("tonefall")
    .description(
      "Grades photographic exposure: where a subject's tone fell, against where it was meant to be placed, in stops.",
    )
    .version(version(), "-V, --version")
    .addCommand(gradeCommand(streams, done))
    .addCommand(meterCommand(streams, done))
    .addCommand(readCommand(streams, done))
    .addCommand(tonesCommand(streams, done))
    .addCommand(kitCommand(streams, done))
    .addCommand(checkCommand(streams, done))
    .addCommand(mergeCommand(streams, done))
    .addCommand(newSetCommand(streams, done))
    .addCommand(cacheCommand(streams, done))
    .addHelpText(
      "after",
      "\nStart with: tonefall grade FOLDER\nEach command has its own --help with examples.",
    );
  const within = program.commands.flatMap(({ commands }) => commands);
  for (const command of [program, ...program.commands, ...within]) {
    command.exitOverride().configureOutput({
      writeOut: (text) => streams.stdout.write(text),
      writeErr: (text) => streams.stderr.write(safeLines(text)),
      getOutHelpWidth: () => streams.stdout.columns ?? 80,
    });
  }
  try {
    await program.parseAsync([...arguments_], { from: "user" });
    return code;
  } catch (error) {
    return exitFor(error, streams);
  }
}

function exitFor(error: unknown, streams: Streams): number {
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.ok : EXIT.usage;
  if (error instanceof GraderError) {
    tell(streams, `${error.message} [${error.code}]`);
    return EXIT.usage;
  }
  const stack = error instanceof Error ? error.stack : String(error);
  tell(streams, `an error of Tonefall's own; please report it.\n${stack}`);
  return EXIT.internal;
}
