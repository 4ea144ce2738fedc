import { existsSync } from "node:fs";
import { Command, CommanderError } from "commander";
import { GraderError } from "../model/errors.ts";
import { version } from "../run/version.ts";
import { EXIT } from "./exitCodes.ts";
import { GROUPS, withHelp } from "./help.ts";
import type { Streams } from "./streams.ts";
import { SUMMARIES } from "./summaries.ts";
import { safeLines, tell } from "./tell.ts";

type MakeCommand = (streams: Streams, done: (code: number) => void) => Command;

/** The commands in the order of the help. Only the one that runs is loaded, so that each starts in the time it needs. */
const COMMANDS: Readonly<Record<keyof typeof SUMMARIES, () => Promise<MakeCommand>>> = {
  grade: async () => (await import("./gradeCommand.ts")).gradeCommand,
  meter: async () => (await import("./meterCommand.ts")).meterCommand,
  read: async () => (await import("./readCommand.ts")).readCommand,
  tones: async () => (await import("./tonesCommand.ts")).tonesCommand,
  kit: async () => (await import("./kitCommand.ts")).kitCommand,
  check: async () => (await import("./checkCommand.ts")).checkCommand,
  class: async () => (await import("./classCommand.ts")).classCommand,
  handout: async () => (await import("./handoutCommand.ts")).handoutCommand,
  merge: async () => (await import("./mergeCommand.ts")).mergeCommand,
  "new-brief": async () => (await import("./newBriefCommand.ts")).newBriefCommand,
  "new-set": async () => (await import("./newSetCommand.ts")).newSetCommand,
  expose: async () => (await import("./exposeCommand.ts")).exposeCommand,
  cache: async () => (await import("./cacheCommand.ts")).cacheCommand,
  completion: async () => (await import("./completionCommand.ts")).completionCommand,
};

type CommandName = keyof typeof COMMANDS;

const NAMES = Object.keys(COMMANDS) as CommandName[];

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
  const loaded = meant(arguments_);
  for (const name of NAMES) {
    const command = loaded.includes(name)
      ? (await COMMANDS[name]())(streams, done)
      : new Command(name);
    program.addCommand(command.summary(SUMMARIES[name]));
  }
  const within = program.commands.flatMap(({ commands }) => commands);
  for (const command of [program, ...program.commands, ...within]) {
    command.exitOverride().configureOutput({
      writeOut: (text) => streams.stdout.write(text),
      writeErr: (text) => streams.stderr.write(safeLines(text)),
      getOutHelpWidth: () => streams.stdout.columns ?? 80,
      outputError: (text) => tell(streams, plainly(text.trimEnd(), command)),
    });
  }
  try {
    if (arguments_.length === 0) program.help();
    await program.parseAsync([...arguments_], { from: "user" });
    return code;
  } catch (error) {
    if (error instanceof CommanderError) tellDashedFile(error, arguments_, streams);
    return await exitFor(error, streams);
  }
}

/** What the parser of options has to say, in the words of our own messages. */
function plainly(text: string, command: Command): string {
  const help = `${commandLine(command)} --help shows examples`;
  return text
    .replace(/^error: /, "")
    .replace(/^missing required argument '(.*)'$/, `Expected a $1 but received none; ${help}`)
    .replace(/^too many arguments for .*$/s, `Received more than the command takes; ${help}`)
    .replace(/^command-argument value /, "");
}

function commandLine(command: Command): string {
  return command.parent ? `${commandLine(command.parent)} ${command.name()}` : command.name();
}

/** The commands to load: the first that is named, or all for completion. The help needs no more than names and summaries. */
function meant(arguments_: readonly string[]): readonly CommandName[] {
  const named = NAMES.find((name) => name === arguments_.find(isCommand));
  if (named === "completion") return NAMES;
  return named === undefined ? [] : [named];
}

function isCommand(text: string): boolean {
  return Object.hasOwn(COMMANDS, text);
}

/** A file whose name begins with a dash, which a shell's * hands over too, looks like an option. */
function tellDashedFile(
  { code }: CommanderError,
  arguments_: readonly string[],
  streams: Streams,
): void {
  if (code !== "commander.unknownOption") return;
  const file = arguments_.find((argument) => argument.startsWith("-") && existsSync(argument));
  if (file !== undefined) tell(streams, `${file} is also a file here; to name it, write ./${file}`);
}

async function exitFor(error: unknown, streams: Streams): Promise<number> {
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.ok : EXIT.usage;
  if (error instanceof GraderError) {
    tell(streams, error.message, error.code);
    return EXIT.usage;
  }
  const stack = error instanceof Error ? (error.stack ?? error.message) : String(error);
  const { sourceStack } = await import("./sourceStack.ts");
  tell(streams, `an error in Tonefall itself; please report it.\n${sourceStack(stack)}`);
  return EXIT.internal;
}
