import { madeSettingsText } from "../../expose/madeSettingsText.ts";
import type { WrittenFrame } from "../../expose/makeFrames.ts";
import { SCHEMA_VERSION } from "../../model/result.ts";
import { sharedFolder } from "../../model/sharedFolder.ts";
import {
  boundedStopsText,
  countText,
  percentText,
  safeText,
  stopsText,
} from "../../model/words.ts";
import { headline } from "./frameTable.ts";
import { jsonText } from "./json.ts";
import { type Column, type TableStyle, textTable } from "./textTable.ts";
import { wrapped } from "./wrapped.ts";

/** A written frame with the name that its row shows, below the folder that all rows share. */
interface NamedFrame extends WrittenFrame {
  readonly name: string;
}

const SUBJECT: Column<NamedFrame> = { title: "Subject", cell: subject, align: "right" };

const COLUMNS: readonly Column<NamedFrame>[] = [
  {
    title: "Frame",
    cell: ({ name }) => safeText(name),
    shrinksTo: 16,
    gives: "shortens",
  },
  { title: "Settings", cell: settings },
  { title: "Capture", cell: ({ exposure }) => stopsText(exposure.stops), align: "right" },
  SUBJECT,
  { title: "Clipped", cell: ({ clippedShare }) => percentText(clippedShare), align: "right" },
];

const SUBJECT_LEGEND = "Subject: where its region falls in the frame, stops from middle grey.";

function settings({ exposure }: WrittenFrame): string {
  return exposure.settings ? madeSettingsText(exposure.settings) : "-";
}

function subject({ tones }: WrittenFrame): string {
  const [first] = Object.values(tones);
  return first ? boundedStopsText(first) : "-";
}

/** Made frames as a table for a terminal, with what a viewer has to know below. */
export function exposeTable(frames: readonly WrittenFrame[], style: TableStyle): string {
  const byCode = new Map<string, string[]>();
  for (const { code, message } of frames.flatMap(({ notes }) => notes)) {
    byCode.set(code, [...(byCode.get(code) ?? []), message]);
  }
  const said = [...byCode].map(([code, messages]) => {
    const [first] = messages as [string, ...string[]];
    const which =
      messages.length === frames.length && messages.every((message) => message === first)
        ? ""
        : ` (${countText(messages.length, "frame")})`;
    return wrapped(`${safeText(first)}${which} [${code}]`, style.width);
  });
  const asked = frames.some(({ tones }) => Object.keys(tones).length > 0);
  const columns = COLUMNS.filter((column) => asked || column !== SUBJECT);
  const legend = asked ? ` ${SUBJECT_LEGEND}` : "";
  const count = frames.length === 1 ? "1 frame made" : `${frames.length} frames made`;
  const paths = frames.map(({ path }) => path.replaceAll("\\", "/"));
  const folder = sharedFolder(paths);
  // A long folder would leave no room for the end of a name, by which the frames of a series differ.
  const named = frames.map((frame, i) => ({
    ...frame,
    name: (paths[i] as string).slice(folder.length),
  }));
  return `${[
    headline(folder, [`Capture: stops from the capture's own exposure.${legend}`], style.width),
    textTable(columns, named, style),
    said.join("\n"),
    count,
  ]
    .filter((section) => section !== "")
    .join("\n\n")}\n`;
}

/** Made frames as JSON. */
export function exposeJson(frames: readonly WrittenFrame[]): string {
  return jsonText({ schemaVersion: SCHEMA_VERSION, frames });
}
