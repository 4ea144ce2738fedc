import { LUMINANCE_ROWS } from "@tonefall/tone-core";
import type { Note } from "../../model/note.ts";
import type { LibRawMetadata } from "./libRaw.ts";

/** Colour of a sensor: what balances its channels, and what each gives to luminance. */
export interface RawColour {
  /** As-shot white balance of red, green and blue, green = 1; a single 1 without filters. */
  readonly multipliers: readonly number[];
  /** Share of balanced red, green and blue in relative luminance; sums to 1. */
  readonly luminanceRow: readonly number[];
  /** Linear sRGB from balanced red, green and blue, row by row, each summing to 1; that of a grey sensor changes nothing. */
  readonly toSrgb: readonly number[];
  readonly notes: readonly Note[];
}

/** The colour of a sensor without filters. */
export const MONOCHROME: RawColour = {
  multipliers: [1],
  luminanceRow: [1],
  toSrgb: [1, 0, 0, 0, 1, 0, 0, 0, 1],
  notes: [],
};

/**
 * White balance and luminance row of a colour sensor.
 *
 * The row is the Y row of linear sRGB (D65) times the camera's balanced RGB to linear sRGB. Rows of that matrix sum to 1,
 * so a neutral keeps its value; rounding in the file's matrix is normalised away.
 *
 * @param neutral - camera neutral that the file states itself: the balance divides by it [DNG, AsShotNeutral]; null when
 *   the maker's multipliers have to do
 * @param metadata - LibRaw's multipliers and matrix
 */
export function rawColour(
  neutral: readonly number[] | null,
  metadata: Pick<LibRawMetadata, "asShotMultipliers" | "daylightMultipliers" | "srgbFromCamera">,
): RawColour {
  const notes: Note[] = [];
  const { asShotMultipliers, daylightMultipliers, srgbFromCamera } = metadata;
  let multipliers = neutral?.length === 3 ? neutral.map((value) => 1 / value) : asShotMultipliers;
  if (!usable(multipliers)) {
    multipliers = usable(daylightMultipliers) ? daylightMultipliers : [1, 1, 1];
    notes.push({
      code: "white-balance-assumed",
      message:
        "The file does not record its white balance, so daylight was assumed; coloured light may shift the tone.",
    });
  }
  const row = LUMINANCE_ROWS.srgb;
  const mixed = [0, 1, 2].map((colour) =>
    row.reduce((sum, share, i) => sum + share * (srgbFromCamera[i]?.[colour] ?? 0), 0),
  );
  const total = mixed.reduce((sum, share) => sum + share, 0);
  // For a camera that it does not know LibRaw gives the identity; a real camera's matrix never equals that to the last bit.
  const hasMatrix = !isIdentity(srgbFromCamera) && Math.abs(total - 1) < MOST_ROW_ERROR;
  if (!hasMatrix) {
    notes.push({
      code: "camera-matrix-missing",
      message:
        "No colour matrix is known for this camera, so its channels were weighted like those of sRGB; neutral tones are not affected.",
    });
  }
  const green = multipliers[1] as number;
  return {
    multipliers: [0, 1, 2].map((colour) => (multipliers[colour] as number) / green),
    luminanceRow: hasMatrix ? mixed.map((share) => share / total) : row,
    toSrgb: hasMatrix ? neutralRows(srgbFromCamera) : MONOCHROME.toSrgb,
    notes,
  };
}

/** The matrix row by row, each row scaled to sum to 1. */
function neutralRows(matrix: readonly (readonly number[])[]): number[] {
  return [0, 1, 2].flatMap((row) => {
    const values = [0, 1, 2].map((colour) => matrix[row]?.[colour] ?? 0);
    const sum = values.reduce((total, value) => total + value, 0);
    return values.map((value) => value / sum);
  });
}

/** The sum of a luminance row may miss 1 by this much, for rounding; beyond it the matrix is refused. */
const MOST_ROW_ERROR = 0.05;

function usable(multipliers: readonly number[]): boolean {
  return [0, 1, 2].every((colour) => (multipliers[colour] ?? 0) > 0);
}

function isIdentity(matrix: readonly (readonly number[])[]): boolean {
  return [0, 1, 2].every((row) =>
    [0, 1, 2].every((column) => matrix[row]?.[column] === (row === column ? 1 : 0)),
  );
}
