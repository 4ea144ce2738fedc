import { Command } from "commander";
import { classCheckCommand } from "./classCheckCommand.ts";
import { classMarkCommand } from "./classMarkCommand.ts";
import { classNewCommand } from "./classNewCommand.ts";
import { classProgressCommand } from "./classProgressCommand.ts";
import { withHelp } from "./help.ts";
import type { Streams } from "./streams.ts";

const EXAMPLES = `  tonefall class new term/              writes term/class.yaml for what is there
  tonefall class check term/class.yaml  what is wrong, before a picture is opened
  tonefall class mark term/class.yaml --exercise week1
                                        the sheet of an exercise
  tonefall class progress term/class.yaml
                                        the term so far, what to teach next`;

/** `tonefall class`. */
export function classCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("class")
    .summary("mark what a class handed in, and show its progress")
    .description(
      "Mark what a class handed in: every student and task with verdict, stops, cause and a suggested level.",
    )
    .addCommand(classNewCommand(streams, done))
    .addCommand(classCheckCommand(streams, done))
    .addCommand(classMarkCommand(streams, done))
    .addCommand(classProgressCommand(streams, done));
  return withHelp(command, { examples: EXAMPLES });
}
