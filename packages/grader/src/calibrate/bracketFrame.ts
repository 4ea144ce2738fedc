import type { TransferFunction } from "@tonefall/tone-core";
import { GraderError } from "../model/errors.ts";
import { type BlockGrid, blockGrid } from "./flatBlocks.ts";
import { type KitFrame, openKitFrame } from "./kitFrame.ts";

/** One frame of a bracket against the curve. */
export interface BracketFrame {
  /** The path as given, with forward slashes. */
  readonly file: string;
  /** Given exposure, stops; of typed times, from the first frame. */
  readonly exposure: number;
  /** Whether the curve rests on it. */
  readonly included: boolean;
  /** How far the frame is from the curve at its given exposure, stops; null where it holds no tone to compare. */
  readonly residual: number | null;
  /** How much lighter it is than its exposure says, stops; null with the residual. */
  readonly offset: number | null;
  /** Why it was left out; null where it was not. */
  readonly reason: string | null;
}

/** A frame of a bracket with its pixels reduced to flat blocks. */
export interface OpenedFrame {
  readonly row: KitFrame["row"];
  readonly grid: BlockGrid;
  readonly transfer: TransferFunction;
  /** What two frames of one bracket have in common: size and colour. */
  readonly shape: string;
}

/**
 * Opens one frame of a bracket.
 *
 * @throws {@link GraderError} `kit-refused` for a raw file, or what keeps the file from being read
 */
export async function openBracketFrame(path: string): Promise<OpenedFrame> {
  const { row, frame } = await openKitFrame(path);
  if (!frame.transfer || frame.basis !== "rendered") {
    throw new GraderError(
      "kit-refused",
      `${row.file} is a raw file, whose response is a straight line already; give the rendered frames`,
    );
  }
  return {
    row,
    grid: blockGrid(frame),
    transfer: frame.transfer,
    shape: `${frame.width} x ${frame.height} pixels, ${frame.channels.length} channels, ${frame.colour.description}`,
  };
}

/** @throws {@link GraderError} `kit-mixed` where the frames differ in size or colour */
export function requireOnePicture(opened: readonly OpenedFrame[]): void {
  const [first, ...others] = opened;
  const other = others.find(({ shape }) => shape !== first?.shape);
  if (other) {
    throw new GraderError(
      "kit-mixed",
      `Expected frames of one size and colour space but ${other.row.file} has ${other.shape} instead of ${first?.shape}`,
    );
  }
}
