import type { ToneChannel } from "@tonefall/tone-core";
import type { ChannelBlack } from "./blackLevels.ts";
import type { FilterCell } from "./filterCell.ts";
import type { RawColour } from "./rawColour.ts";
import type { ChannelWhite } from "./whiteLevels.ts";

/** What turns sensor codes into luminance. */
export interface SensorLight extends Pick<RawColour, "multipliers" | "luminanceRow"> {
  readonly black: ChannelBlack;
  readonly white: ChannelWhite;
}

/** Each channel's share of luminance after white balance: the sites of one colour share its weight. */
export function channelShares(cell: FilterCell, luminanceRow: readonly number[]): number[] {
  return cell.sites.map(({ colour }) => {
    const sharing = cell.sites.filter((site) => site.colour === colour).length;
    return (luminanceRow[colour] as number) / sharing;
  });
}

/**
 * The raster's channels: luminance = row x multiplier x (code - black) / (white - largest black of the plane), shared
 * among the sites of one colour, so that the sum over a cell is the luminance of the cell. No demosaicing is needed:
 * the mean over a region is the same.
 *
 * Codes below black keep their negative luminance, so that noise averages to zero; codes above white are saturation.
 *
 * @see [DNG, chapter 5]
 */
export function sensorChannels(cell: FilterCell, light: SensorLight): readonly ToneChannel[] {
  const { black, white, multipliers, luminanceRow } = light;
  const shares = channelShares(cell, luminanceRow);
  const tables = new Map<string, Float64Array>();
  return cell.sites.map(({ name, colour }, channel) => {
    const level = black.levels[channel] as number;
    const range = (white.scale[channel] as number) - (black.largest[channel] as number);
    const share = (shares[channel] as number) * (multipliers[colour] as number);
    const key = [share, level, range].join();
    const luminance = tables.get(key) ?? luminanceTable(share, level, range);
    tables.set(key, luminance);
    const clipCode = white.clipCodes[channel] as number;
    return { name, luminance, clipCode, crushCode: Math.floor(level) };
  });
}

/** The sites of one colour share a table where they share a black level: 65,536 numbers each. */
function luminanceTable(share: number, black: number, range: number): Float64Array {
  const table = new Float64Array(65536);
  for (let code = 0; code < table.length; code++) {
    table[code] = share * Math.min(1, (code - black) / range);
  }
  return table;
}
