import { sharedFolder } from "../report/sharedFolder.ts";
import type { FrameResult } from "../result.ts";
import type { FrameView } from "./frameView.ts";
import type { PageFrame } from "./pageFrame.ts";

/** A graded row and what was seen of its pixels. */
export interface SeenRow {
  readonly row: FrameResult;
  readonly view: FrameView | null;
}

/**
 * Rows as a page tells them.
 *
 * @param anonymous - codes stand for file and folder names everywhere, and the time of capture is left out
 */
export function pageFrames(seen: readonly SeenRow[], anonymous: boolean): PageFrame[] {
  const digits = Math.max(3, String(seen.length).length);
  const codes = seen.map((_, i) => `F${String(i + 1).padStart(digits, "0")}`);
  const codeOf = new Map(seen.map(({ row }, i) => [row.file, codes[i] as string]));
  const shared = sharedFolder(seen.map(({ row }) => row.file));
  return seen.map(({ row, view }, i) => {
    const name = row.file.slice(seen.length === 1 ? row.file.lastIndexOf("/") + 1 : shared.length);
    const frame = { number: i + 1, id: `frame-${i + 1}`, view, page: "" };
    if (anonymous) {
      return { ...frame, name: codes[i] as string, folder: "", row: nameless(row, codeOf) };
    }
    return { ...frame, name, folder: name.slice(0, name.lastIndexOf("/") + 1), row };
  });
}

function nameless(row: FrameResult, codeOf: ReadonlyMap<string, string>): FrameResult {
  const code = (file: string): string => codeOf.get(file) ?? "another frame";
  return {
    ...row,
    file: code(row.file),
    exposure: row.exposure && {
      ...row.exposure,
      capturedAt: { value: null, reason: "absent" },
    },
    ...(row.pair
      ? { pair: { ...row.pair, raw: code(row.pair.raw), rendered: code(row.pair.rendered) } }
      : {}),
  };
}
