import { Command, CommanderError } from "commander";
import { GraderError } from "../model/errors.ts";
import { version } from "../run/version.ts";
import { EXIT } from "./exitCodes.ts";
import type { Streams } from "./streams.ts";
import { safeLines, tell } from "./tell.ts";

type MakeCommand = (streams: Streams, done: (code: number) => void) => Command;

/** The commands in the order of the help. Each is loaded when it is meant: together they take half a second. */
const COMMANDS: Readonly<Record<string, () => Promise<MakeCommand>>> = {
  grade: async () => (await import("./gradeCommand.ts")).gradeCommand,
  meter: async () => (await import("./meterCommand.ts")).meterCommand,
  read: async () => (await import("./readCommand.ts")).readCommand,
  tones: async () => (await import("./tonesCommand.ts")).tonesCommand,
  kit: async () => (await import("./kitCommand.ts")).kitCommand,
  check: async () => (await import("./checkCommand.ts")).checkCommand,
  merge: async () => (await import("./mergeCommand.ts")).mergeCommand,
  "new-brief": async () => (await import("./newBriefCommand.ts")).newBriefCommand,
  "new-set": async () => (await import("./newSetCommand.ts")).newSetCommand,
  cache: async () => (await import("./cacheCommand.ts")).cacheCommand,
};

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
    .addHelpText(
      "after",
      "\nStart with: tonefall grade FOLDER\nEach command has its own --help with examples.",
    );
  for (const make of await meant(arguments_)) program.addCommand(make(streams, done));
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

/** The command that is named; all of them where none is, for the help and for what was mistyped. */
function meant([named = ""]: readonly string[]): Promise<MakeCommand[]> {
  const one = Object.hasOwn(COMMANDS, named) ? COMMANDS[named] : undefined;
  return Promise.all((one ? [one] : Object.values(COMMANDS)).map((load) => load()));
}

function exitFor(error: unknown, streams: Streams): number {
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.ok : EXIT.usage;
  if (error instanceof GraderError) {
    tell(streams, error.message, error.code);
    return EXIT.usage;
  }
  const stack = error instanceof Error ? error.stack : String(error);
  tell(streams, `an error of Tonefall's own; please report it.\n${stack}`);
  return EXIT.internal;
}
