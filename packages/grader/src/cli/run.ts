import { Command, CommanderError } from "commander";
import { GraderError } from "../model/errors.ts";
import { version } from "../run/version.ts";
import { EXIT } from "./exitCodes.ts";
import { GROUPS, withHelp } from "./help.ts";
import type { Streams } from "./streams.ts";
import { safeLines, tell } from "./tell.ts";

type MakeCommand = (streams: Streams, done: (code: number) => void) => Command;

/** The commands in the order of the help. Only the one that runs is loaded: together they take half a second. */
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
  expose: async () => (await import("./exposeCommand.ts")).exposeCommand,
  cache: async () => (await import("./cacheCommand.ts")).cacheCommand,
  completion: async () => (await import("./completionCommand.ts")).completionCommand,
};

const EXAMPLES = `  tonefall grade shoot/                 where the tone of each frame fell
  tonefall grade snow.jpg --place snow --region spot
                                        whether it fell where snow belongs
  tonefall grade class/ --brief week1.yaml --voice student
                                        why frames missed, and what to do

"tonefall COMMAND --help" shows the examples and options of a command.`;

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
    .optionsGroup(GROUPS.help)
    .version(version(), "-V, --version", "show the version")
    .helpCommand("help [command]", "show the help of a command");
  withHelp(program, { examples: EXAMPLES });
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
    if (arguments_.length === 0) program.help();
    await program.parseAsync([...arguments_], { from: "user" });
    return code;
  } catch (error) {
    return exitFor(error, streams);
  }
}

/** The command that is named; all of them for the help, for completion and for a mistyped name. */
function meant([named = ""]: readonly string[]): Promise<MakeCommand[]> {
  const alone = named !== "completion" && Object.hasOwn(COMMANDS, named);
  const one = alone ? COMMANDS[named] : undefined;
  return Promise.all((one ? [one] : Object.values(COMMANDS)).map((load) => load()));
}

function exitFor(error: unknown, streams: Streams): number {
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.ok : EXIT.usage;
  if (error instanceof GraderError) {
    tell(streams, error.message, error.code);
    return EXIT.usage;
  }
  const stack = error instanceof Error ? error.stack : String(error);
  tell(streams, `an error in Tonefall itself; please report it.\n${stack}`);
  return EXIT.internal;
}
