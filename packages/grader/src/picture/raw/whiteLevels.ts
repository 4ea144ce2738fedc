import type { WhiteSource } from "../rawSensor.ts";
import type { DngTags } from "./dngTags.ts";
import type { FilterCell } from "./filterCell.ts";
import type { LibRawMetadata } from "./libRaw.ts";
import { LOSSY } from "./requireDecodable.ts";
import { topCode, whiteFromData } from "./whiteFromData.ts";

/** White as the raster's channels need it. */
export interface ChannelWhite {
  /** Lowest clipped code of each channel. */
  readonly clipCodes: readonly number[];
  /** Code of each channel that stands for saturation; one for all sites of a mosaic, or white balance would not hold. */
  readonly scale: readonly number[];
  readonly from: WhiteSource;
}

/** The white level of each channel that a file states. */
export function statedWhite(
  dng: DngTags | null,
  metadata: Pick<LibRawMetadata, "white" | "canonWhite">,
  cell: FilterCell,
): readonly number[] {
  // LibRaw spreads lossy DNG, whose levels count in 8 bits, over 16.
  if (dng?.compression === LOSSY) return cell.sites.map(() => 65535);
  if (dng) return cell.sites.map(({ plane }) => dng.white[plane] as number);
  const { white, canonWhite } = metadata;
  return cell.sites.map(() => (canonWhite > 0 ? Math.min(canonWhite, white) : white));
}

/**
 * White of every channel: the level that the file states, or a lower one at which the data pile up.
 *
 * One scale serves all sites of a mosaic: the highest pile. A channel without a pile of its own clips there too, since the
 * sites share their readout; if it holds codes above, the stated level counts. Demosaiced pictures may have been
 * clipped in other ways and keep the stated level.
 *
 * @param histograms - counts by code, one a channel
 * @param blacks - black level of each channel
 * @param stated - white level of each channel that the file states
 */
export function whiteLevels(
  histograms: readonly Uint32Array[],
  blacks: readonly number[],
  stated: readonly number[],
): ChannelWhite {
  const piles = histograms.map((histogram, i) =>
    whiteFromData(histogram, blacks[i] as number, stated[i] as number),
  );
  const highest = Math.max(...piles.map((pile) => pile?.white ?? 0));
  const clipCodes = piles.map((pile, i) => {
    if (pile) return pile.white;
    const top = topCode(histograms[i] as Uint32Array);
    return highest > 0 && top < highest ? highest : Math.ceil(stated[i] as number);
  });
  return highest > 0
    ? { clipCodes, scale: stated.map(() => highest), from: "data" }
    : { clipCodes, scale: stated, from: "metadata" };
}
