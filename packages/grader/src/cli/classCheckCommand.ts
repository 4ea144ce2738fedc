import { Command } from "commander";
import { classFileAt } from "../classes/classFileAt.ts";
import { findHandIns } from "../classes/findHandIns.ts";
import { checkClass } from "../classes/readClass.ts";
import { readNames } from "../classes/readNames.ts";
import { readOverrides } from "../classes/readOverrides.ts";
import { surveyOf } from "../classes/survey.ts";
import { surveyText } from "../output/text/surveyText.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, type HelpTexts, withHelp } from "./help.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

const HELP: HelpTexts = {
  examples: `  tonefall class check term/class.yaml   the file, and what lies where it says
  tonefall class check term/             the class file in that folder`,
  exitCodes: `0 the file is right, and every hand-in belongs to a student and a task;
1 something lies where nobody expects it, or answers no task;
2 the class file is wrong: everything that is wrong is listed;
${COMMON_CODES}.`,
};

/** `tonefall class check`. */
export function classCheckCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("check")
    .summary("check a class file and its folders; opens no picture")
    .description("Check a class file, and count what was handed in. No picture is opened.")
    .argument("<file>", "the class file, or its folder")
    .action(async (path: string) => {
      done(await check(path, streams));
    });
  return withHelp(command, HELP);
}

async function check(path: string, streams: Streams): Promise<number> {
  const { ready, problems } = await checkClass(await classFileAt(path));
  for (const { message, code } of problems) tell(streams, message, code);
  if (!ready) return EXIT.usage;
  await readOverrides(ready);
  await readNames(ready);
  const found = await findHandIns(ready);
  const survey = surveyOf(ready, found);
  const style = {
    width: lineWidth(streams, undefined),
    heading: paintFor(streams, undefined).strong,
  };
  await writeResult(surveyText(survey, style), null, streams);
  for (const { message, path, code } of found.strays) tell(streams, `${path}: ${message}`, code);
  return survey.amiss > 0 ? EXIT.missed : EXIT.ok;
}
