import { Command } from "commander";
import { classFileAt } from "../classes/classFileAt.ts";
import { findHandIns } from "../classes/findHandIns.ts";
import { checkClass } from "../classes/readClass.ts";
import { readNames } from "../classes/readNames.ts";
import { readOverrides } from "../classes/readOverrides.ts";
import { type Survey, surveyOf } from "../classes/survey.ts";
import { surveyText } from "../output/text/surveyText.ts";
import { EXIT } from "./exitCodes.ts";
import { COMMON_CODES, type HelpTexts, withHelp } from "./help.ts";
import { lineWidth, paintFor, writeResult } from "./output.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

const HELP: HelpTexts = {
  examples: `  tonefall class check term/class.yaml   the file, and what lies where it says
  tonefall class check term/             the class file in that folder`,
  exitCodes: `0 the file is right, and every hand-in answers a task;
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
  tellAbsent(survey, streams);
  return survey.amiss > 0 ? EXIT.missed : EXIT.ok;
}

/** Says which students handed in nothing at all, while others did: a folder may have another name. */
function tellAbsent({ exercises }: Survey, streams: Streams): void {
  const begun = new Set<string>();
  const all = new Set<string>();
  for (const { code, tasks, unasked } of exercises.flatMap(({ students }) => students)) {
    all.add(code);
    if (unasked > 0 || tasks.some(({ files }) => files > 0)) begun.add(code);
  }
  const absent = [...all].filter((code) => !begun.has(code));
  if (begun.size === 0 || absent.length === 0) return;
  tell(
    streams,
    `nothing lies where the hand-ins of ${absent.join(", ")} are expected; if they handed in, compare the names of their folders or files with the class file`,
  );
}
