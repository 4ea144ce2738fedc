import { Command, InvalidArgumentError, Option } from "commander";
import { measureBracket } from "../calibrate/measureBracket.ts";
import { measureCard } from "../calibrate/measureCard.ts";
import { measurePairs } from "../calibrate/measurePairs.ts";
import type { CameraKit } from "../kit/kit.ts";
import { kitText, readKitFile } from "../kit/kitFile.ts";
import { GraderError } from "../model/errors.ts";
import type { Note } from "../model/note.ts";
import { SCHEMA_VERSION } from "../model/result.ts";
import type { KitPage } from "../output/page/kitPage.ts";
import { jsonText } from "../output/text/json.ts";
import { bracketTable, cardTable, pairsTable } from "../output/text/kitTable.ts";
import type { TableStyle } from "../output/text/textTable.ts";
import type { WritePlace } from "../run/write/writePlace.ts";
import { EXIT } from "./exitCodes.ts";
import { framesOf } from "./foundFrames.ts";
import { COMMON_CODES, withHelp } from "./help.ts";
import { forceOption, outputOption, shareOrWhole } from "./options.ts";
import { lineWidth, paintFor, resultPlace, writeResult } from "./output.ts";
import { pageCode } from "./pageFlags.ts";
import type { Streams } from "./streams.ts";
import { tell } from "./tell.ts";

const FORMATS = ["table", "json", "yaml", "html"] as const;

interface KitFlags {
  readonly format: (typeof FORMATS)[number];
  readonly output?: string;
  readonly force?: true;
}

interface CardFlags extends KitFlags {
  readonly reflectance: number;
  readonly region: string;
  readonly kit?: string;
}

interface BracketFlags extends KitFlags {
  readonly times?: readonly number[];
}

const EXIT_CODES = `0 measured; 1 the frames give no kit, and the reason is reported;
2 wrong usage;
${COMMON_CODES}.`;

const CARD_EXAMPLES = `  tonefall kit card card.jpg                 a grey card that fills the frame
  tonefall kit card card.jpg --region box:0.3,0.3,0.4,0.4
                                             where in the frame the card is
  tonefall kit card white.jpg --reflectance 90%
  tonefall kit card card.jpg --kit kits/room.yaml -f yaml -o kits/room.yaml
                                             adds middle grey to a kit

Meter the card at compensation 0, square to even light, away from the sun.
Refused: light that changes by 0.25 stop across the card, a clipped or black
card, frames that disagree by 0.3 stop.`;

const BRACKET_EXAMPLES = `  tonefall kit bracket room/                 times, apertures or ISO as recorded
  tonefall kit bracket room/ -f yaml -o kits/room.yaml
                                             the kit file
  tonefall kit bracket room/ -f html -o room.html
                                             the curve and residuals drawn
  tonefall kit bracket a.tif b.tif c.tif --times 1/40,1/10,1/2.5
                                             times in the order of the files; in
                                             a folder 9.tif comes before 10.tif

A frame more than 0.15 stop from the curve is left out, and named. If more than
a third would be left out, the bracket is refused. Never bracket the sun itself.`;

const PAIRS_EXAMPLES = `  tonefall kit pairs shoot/                  every shot kept raw and rendered
  tonefall kit pairs shoot/ -f yaml -o kits/shoot.yaml
                                             the kit file
  tonefall kit pairs a.dng a.jpg             one shot

Shots more than 0.15 stop from the curve of the others are left out, and named.`;

const EXAMPLES = `  tonefall kit bracket room/                 the response curve, from a bracket
  tonefall kit bracket room/ -f yaml -o kits/room.yaml
                                             the same as a kit file
  tonefall kit bracket a.tif b.tif c.tif --times 1/40,1/10,0.4
  tonefall kit card card.jpg --region box:0.3,0.3,0.4,0.4
                                             where middle grey lies
  tonefall kit card card.jpg --kit kits/room.yaml -f yaml -o kits/room.yaml
                                             adds it to a kit
  tonefall kit pairs shoot/                  both, from raw files and JPEGs
  tonefall grade shoot/ --kit kits/room.yaml grades on the scene basis with it`;

/** `tonefall kit`. */
export function kitCommand(streams: Streams, done: (code: number) => void): Command {
  const command = new Command("kit")
    .description(
      "Measure a kit, which is one camera in one style: where it puts middle grey, and how much light each code stands for. Kit files are matched with frames by their metadata.",
    )
    .addCommand(cardCommand(streams, done))
    .addCommand(bracketCommand(streams, done))
    .addCommand(pairsCommand(streams, done));
  return withHelp(command, { examples: EXAMPLES, exitCodes: EXIT_CODES });
}

function cardCommand(streams: Streams, done: (code: number) => void): Command {
  const command = withOutput(new Command("card"))
    .summary("where middle grey lies, from frames of a card")
    .description(
      "Measure where a kit puts middle grey, from frames of a card of known reflectance.",
    )
    .argument("<path...>", "frames of the card, or folders of them")
    .addOption(
      new Option("--reflectance <share>", "reflectance of the card: 0.18, 18%, 90%")
        .argParser(shareOrWhole)
        .default(0.18, "18%"),
    )
    .option(
      "-r, --region <region>",
      "where the card is, in fractions of the upright frame",
      "whole",
    )
    .option("--kit <file>", "kit file of the same camera and style, to complete")
    .action(async (paths: string[], flags: CardFlags) => {
      const { reflectance, region } = flags;
      const kit = flags.kit === undefined ? null : (await readKitFile(flags.kit)).kit;
      const frames = await files(paths, streams);
      // A kit that the card completes may be written again, with all that it held.
      const completes = flags.format === "yaml";
      const place = resultPlace([...frames, completes ? undefined : flags.kit], flags);
      const measured = await orRefusal(async () =>
        measureCard(frames, { reflectance, region, ...(kit ? { kit } : {}) }),
      );
      const result = { agreement: null, departure: null, ...measured };
      done(await write(result, flags, place, streams, (style) => cardTable(result, style)));
    });
  return withHelp(command, { examples: CARD_EXAMPLES, exitCodes: EXIT_CODES });
}

function bracketCommand(streams: Streams, done: (code: number) => void): Command {
  const command = withOutput(new Command("bracket"))
    .summary("the response curve, from a bracket of one still scene")
    .description(
      "Measure how much light each code stands for, from three frames or more of one still scene in steps of exposure. Steps of a stop or less are best.",
    )
    .argument("<path...>", "frames of the bracket, or a folder of them")
    .addOption(
      new Option(
        "--times <seconds>",
        "exposure times in the order of the files: 1/40,1/10,0.4 (default: from metadata)",
      ).argParser(times),
    )
    .action(async (paths: string[], flags: BracketFlags) => {
      const frames = await files(paths, streams);
      const place = resultPlace(frames, flags);
      const result = await orRefusal(async () =>
        measureBracket(frames, flags.times === undefined ? {} : { times: flags.times }),
      );
      done(await write(result, flags, place, streams, (style) => bracketTable(result, style)));
    });
  return withHelp(command, { examples: BRACKET_EXAMPLES, exitCodes: EXIT_CODES });
}

function pairsCommand(streams: Streams, done: (code: number) => void): Command {
  const command = withOutput(new Command("pairs"))
    .summary("curve and middle grey, from shots kept raw and rendered")
    .description(
      "Learn a kit from shots kept both raw and rendered, side by side under one name: the sensor shows the light behind every tone of the rendering.",
    )
    .argument("<path...>", "folders of shots, or the files")
    .action(async (paths: string[], flags: KitFlags) => {
      const frames = await files(paths, streams);
      const place = resultPlace(frames, flags);
      const result = await orRefusal(async () => measurePairs(frames));
      done(await write(result, flags, place, streams, (style) => pairsTable(result, style)));
    });
  return withHelp(command, { examples: PAIRS_EXAMPLES, exitCodes: EXIT_CODES });
}

function withOutput(command: Command): Command {
  return command
    .addOption(
      new Option(
        "-f, --format <format>",
        "format of the result; yaml is the kit file, html a page that draws the curve",
      )
        .choices(FORMATS)
        .default("table"),
    )
    .addOption(outputOption())
    .addOption(forceOption());
}

async function files(paths: readonly string[], streams: Streams): Promise<readonly string[]> {
  return (await framesOf(paths, streams)).frames.map(({ path }) => path);
}

type Measured = KitPage & { readonly kit: CameraKit | null; readonly refusal: Note | null };

/** Frames that give no kit are a result, not an error, whether that shows before or after they are measured. */
async function orRefusal<T extends Measured>(
  measure: () => Promise<T>,
): Promise<T | { readonly kit: null; readonly refusal: Note; readonly frames: readonly [] }> {
  try {
    return await measure();
  } catch (error) {
    const refuses =
      error instanceof GraderError && (error.code === "kit-mixed" || error.code === "kit-refused");
    if (!refuses) throw error;
    return { kit: null, refusal: { code: error.code, message: error.message }, frames: [] };
  }
}

async function write(
  result: Measured,
  { format, output }: KitFlags,
  place: WritePlace | null,
  streams: Streams,
  table: (style: TableStyle) => string,
): Promise<number> {
  const { kit, refusal } = result;
  if (refusal) tell(streams, refusal.message, refusal.code);
  const style = {
    width: lineWidth(streams, output),
    heading: paintFor(streams, output).strong,
  };
  if (format === "json") {
    const document = { schemaVersion: SCHEMA_VERSION, ...result };
    await writeResult(jsonText(document), place, streams);
  } else if (format === "html") {
    const { kitPage } = await pageCode();
    await writeResult(await kitPage(result), place, streams);
  } else if (format === "table") {
    await writeResult(table(style), place, streams);
  } else if (kit) {
    await writeResult(kitText(kit), place, streams);
  }
  return kit ? EXIT.ok : EXIT.missed;
}

function times(text: string): readonly number[] {
  return text.split(",").map((part) => {
    const [, top = "", bottom = "1"] =
      /^([\d.]+)(?:\s*\/\s*([\d.]+))?\s*(?:s|sec|"|″)?$/i.exec(part.trim()) ?? [];
    const seconds = Number(top) / Number(bottom);
    if (top !== "" && Number.isFinite(seconds) && seconds > 0) return seconds;
    throw new InvalidArgumentError("Expected times in seconds, such as 1/40,1/10,0.4.");
  });
}
