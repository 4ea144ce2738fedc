import { readFileSync } from "node:fs";
import { SourceMap, type SourceMapPayload } from "node:module";
import { fileURLToPath } from "node:url";

/** A place in a file, as stacks write it. */
const PLACE = /^(file:\/\/\/(?:[A-Za-z]:)?[^\s():]*\.js):(\d{1,7}):(\d{1,7})/;

/**
 * A stack with places in the sources instead of the bundle. Node would do so for every error, but would read all maps when it
 * starts.
 */
export function sourceStack(stack: string): string {
  return stack.split("\n").map(sourceLine).join("\n");
}

function sourceLine(text: string): string {
  const at = text.indexOf("file:///");
  const [place, file = "", line, column] = PLACE.exec(text.slice(at)) ?? [];
  const origin = place && originOf(file, Number(line), Number(column));
  return place && origin ? text.replace(place, () => origin) : text;
}

/** Null where no map is beside the file. */
function originOf(file: string, line: number, column: number): string | null {
  try {
    const payload = JSON.parse(readFileSync(fileURLToPath(`${file}.map`), "utf8"));
    const origin = new SourceMap(payload as SourceMapPayload).findOrigin(line, column);
    if (!("fileName" in origin)) return null;
    const { fileName, lineNumber, columnNumber } = origin;
    return `${new URL(fileName, file).href}:${lineNumber}:${columnNumber}`;
  } catch {
    return null;
  }
}
