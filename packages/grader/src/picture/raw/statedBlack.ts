import { GraderError } from "../../model/errors.ts";
import type { BlackSource } from "../../model/sensor.ts";
import type { DngTags, RepeatPattern, StatedBlack } from "./dngTags.ts";
import type { LibRawMetadata } from "./libRaw.ts";
import type { BorderBlack } from "./maskedBorder.ts";

/**
 * The black level that a file states, or its sensor shows, as a pattern from the active area's corner.
 *
 * LibRaw reports no black (0) where the level repeats in a pattern or differs between channels, so a DNG's own tags come
 * first, then the maker's data; LibRaw's 0 states nothing.
 *
 * @param raf - black of a RAF file's filter pattern
 * @param border - what the shielded border shows
 * @throws {@link GraderError} `raw-no-black-level` when neither file nor sensor says
 */
export function statedBlack(
  dng: DngTags | null,
  raf: RepeatPattern | null,
  metadata: Pick<LibRawMetadata, "black" | "unpackedBlack" | "canonBlack" | "filters">,
  border: BorderBlack | null,
): { stated: StatedBlack; from: BlackSource } {
  if (dng) return { stated: dng.black, from: dng.blackStated ? "dng-tags" : "dng-default" };
  if (raf) return { stated: blackPattern(raf.rows, raf.columns, raf.values), from: "maker" };
  const { canonBlack, filters, unpackedBlack } = metadata;
  if (canonBlack?.every((level) => level > 0)) {
    // Two rows by two columns of LibRaw's filter word, whose colour 3 is the second green.
    const values = [0, 1, 2, 3].map((site) => canonBlack[(filters >>> (2 * site)) & 3] as number);
    return { stated: blackPattern(2, 2, values), from: "maker" };
  }
  if (metadata.black > 0) return { stated: blackPattern(1, 1, [metadata.black]), from: "maker" };
  if (border) {
    const { rows, columns, levels } = border;
    return { stated: blackPattern(rows, columns, levels), from: "masked-border" };
  }
  if (unpackedBlack > 0) return { stated: blackPattern(1, 1, [unpackedBlack]), from: "maker" };
  throw new GraderError(
    "raw-no-black-level",
    "The file does not state the sensor's black level and has no shielded border to measure it on, so no tone can be measured; convert it to DNG, or grade a JPEG made from it",
  );
}

/** A black pattern without deltas. */
export function blackPattern(
  rows: number,
  columns: number,
  values: readonly number[],
): StatedBlack {
  return { rows, columns, values, columnDeltas: null, rowDeltas: null };
}
