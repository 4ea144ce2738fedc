import { TONE_CHART } from "@tonefall/tone-core";
import { Argument, Command } from "commander";
import { type CompletedCommand, SHELLS, type Shell } from "./completionScripts.ts";
import { EXIT } from "./exitCodes.ts";
import { type HelpTexts, withHelp } from "./help.ts";
import type { Streams } from "./streams.ts";

const HELP: HelpTexts = {
  examples: `  tonefall completion bash > ~/.local/share/bash-completion/completions/tonefall
  tonefall completion zsh > "\${fpath[1]}/_tonefall"
  tonefall completion fish > ~/.config/fish/completions/tonefall.fish

Start a new shell afterwards. Commands, options, their values and the names of
tones are completed; everywhere else, file names.`,
};

/** `tonefall completion`. */
export function completionCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("completion")
    .description("Print a script with which a shell completes commands, options and tone names.")
    .addArgument(new Argument("<shell>", "the shell").choices(Object.keys(SHELLS)))
    .action((shell: Shell) => {
      streams.stdout.write(SHELLS[shell](commandsIn(command.parent ?? command)));
      done(EXIT.ok);
    });
  return withHelp(command, HELP);
}

/** A command and all commands within it, each with what can follow it. */
function commandsIn(command: Command, path: readonly string[] = []): CompletedCommand[] {
  const subcommands = command.commands.map((sub) => ({
    name: sub.name(),
    summary: sub.summary(),
  }));
  const arguments_ = command.registeredArguments.flatMap(({ argChoices = [] }) => argChoices);
  const options = command
    .createHelp()
    .visibleOptions(command)
    .map(({ long, short, required, argChoices, description }) => ({
      names: [short, long].filter((name) => name !== undefined),
      description,
      takesValue: required,
      values: argChoices ?? (long === "--place" ? TONE_CHART.map(({ name }) => name) : []),
    }));
  return [
    { path, subcommands, arguments: arguments_, options },
    ...command.commands.flatMap((sub) => commandsIn(sub, [...path, sub.name()])),
  ];
}
