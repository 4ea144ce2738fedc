import { tiffDirectories } from "@tonefall/exif-reader";
import { codeCounts, log2, SENSOR_MIDDLE_GREY } from "@tonefall/tone-core";
import type { DecodeLimits } from "../decodeLimits.ts";
import type { Frame } from "../frame.ts";
import type { RawSensor } from "../rawSensor.ts";
import { type ChannelBlack, channelBlack } from "./blackLevels.ts";
import { damageNotes, hasMissingRun } from "./damage.ts";
import { type DngTags, dngTags, type RepeatPattern, type StatedBlack } from "./dngTags.ts";
import { type FilterCell, mosaicCell, plainCell } from "./filterCell.ts";
import { gatherCells } from "./gatherCells.ts";
import type { OpenedRaw, UnpackedRaw } from "./libRaw.ts";
import { maskedBorder } from "./maskedBorder.ts";
import { orientationFromFlip } from "./orientationFromFlip.ts";
import { pixelExtent, pixelsMissing } from "./pixelExtent.ts";
import { rafBlack } from "./rafBlack.ts";
import { MONOCHROME, rawColour } from "./rawColour.ts";
import { blackNotes, layoutNotes, whiteNotes } from "./rawNotes.ts";
import {
  LOSSY,
  requireDecodable,
  requireJpegParts,
  requireOpened,
  requireSensor,
} from "./requireDecodable.ts";
import { channelShares, sensorChannels } from "./sensorChannels.ts";
import { sensorLayout } from "./sensorLayout.ts";
import { blackPattern, statedBlack } from "./statedBlack.ts";
import { statedWhite, whiteLevels } from "./whiteLevels.ts";

/** How a raw file becomes a frame. */
export interface DecodeRawOptions extends DecodeLimits {
  /**
   * Middle grey as a share of sensor saturation.
   * @default 10/78, from saturation-based speed [ISO-12232]
   */
  readonly middleGrey?: number;
  /**
   * Which part of the sensor is the frame: the picture as the camera crops it, or all that sees light.
   * @default "picture"
   */
  readonly area?: "picture" | "active";
  /**
   * Leaves the frame where LibRaw unpacked it, which spares memory of the frame's own: it is there until this settles, and
   * LibRaw waits. To be settled soon, and without decoding another raw file first.
   * @default the frame has memory of its own
   */
  readonly unused?: Promise<unknown>;
}

/** A frame of the sensor's own values. One pixel of its raster is one repeat of the colour filter pattern. */
export interface RawFrame extends Frame {
  readonly basis: "scene";
  readonly samples: Uint16Array;
  readonly sensor: RawSensor;
}

/** What the file says in places that LibRaw does not report in full. */
export interface StatedLevels {
  readonly dng: DngTags | null;
  readonly raf: RepeatPattern | null;
}

/**
 * Refuses, before anything is unpacked, what cannot become sensor values.
 *
 * @returns what the file itself says of its levels
 * @throws {@link GraderError} `raw-unsupported`, `raw-no-pixels`, `raw-truncated` or `decode-failed`
 */
export function statedLevels(opened: OpenedRaw): StatedLevels {
  const { file } = opened;
  const directories = tiffDirectories(file);
  const dng = dngTags(directories);
  // Lossy coding has no least size.
  const samples = dng && dng.compression !== LOSSY ? dng.width * dng.height * dng.planes : null;
  const extent = pixelExtent(file, directories);
  requireDecodable(dng, pixelsMissing(extent, samples, file.length));
  requireJpegParts(dng, file);
  requireOpened(opened);
  return { dng, raf: rafBlack(file) };
}

/**
 * The frame of an unpacked sensor.
 *
 * @throws {@link GraderError} `raw-no-pixels`, `raw-truncated`, `raw-no-black-level` or `decode-failed`
 */
export function rawFrame(
  unpacked: UnpackedRaw,
  { dng, raf }: StatedLevels,
  { middleGrey = SENSOR_MIDDLE_GREY, area = "picture", unused }: DecodeRawOptions,
): RawFrame {
  const { metadata } = unpacked;
  const sensor = requireSensor(unpacked);
  const layout = sensorLayout(dng, metadata, sensor, unpacked.mosaic);
  const { activeArea, mosaic } = layout;
  const picture = area === "picture" ? layout.crop : activeArea;
  const cell = mosaic
    ? mosaicCell(mosaic, activeArea, picture)
    : plainCell(sensor.planes === 3 ? 3 : 1);

  const whites = statedWhite(dng, metadata, cell);
  const white = Math.max(...whites);
  const repeat = mosaic ?? { rows: 1, columns: 1 };
  const border = maskedBorder(sensor, repeat, activeArea, dng?.maskedAreas ?? [], white);
  const { stated, from: blackFrom } = statedBlack(dng, raf, metadata, border);
  const perChannel = (pattern: StatedBlack): ChannelBlack =>
    channelBlack(pattern, activeArea, cell, picture);
  const onBorder = (values: readonly number[]): readonly number[] =>
    perChannel(blackPattern(repeat.rows, repeat.columns, values)).levels;
  const black = perChannel(stated);

  const colour =
    layout.kind === "monochrome" ? MONOCHROME : rawColour(dng?.asShotNeutral ?? null, metadata);
  // Before the cells are gathered, perhaps in place of the sensor's samples.
  const missingRun = hasMissingRun(sensor, picture, Math.min(...black.levels));
  const cells = gatherCells(
    sensor,
    { cell, picture, activeArea },
    { black, whites },
    unused === undefined ? "apart" : "in-place",
  );
  const codes = { ...cells, stride: cell.sites.length };
  const histograms = codeCounts(codes);
  const levels =
    layout.kind === "demosaiced"
      ? ({ clipCodes: whites.map(Math.ceil), scale: whites, from: "metadata" } as const)
      : whiteLevels(histograms, black.levels, whites);
  return {
    basis: "scene",
    ...codes,
    channels: sensorChannels(cell, { ...colour, black, white: levels }),
    orientation: orientationFromFlip(metadata.flip),
    bits: Math.ceil(log2(white + 1)),
    middleGrey,
    transfer: null,
    alphaIndex: null,
    colour: { description: "sensor values, white balance as shot", from: "sensor" },
    notes: [
      ...damageNotes(unpacked.remarks, missingRun, histograms, white),
      ...layoutNotes(layout),
      ...colour.notes,
      ...blackNotes(black.levels, blackFrom, border && onBorder(border.levels), white),
      ...whiteNotes(levels, whites, cell),
    ],
    sensor: {
      make: metadata.make,
      model: metadata.model,
      filters: { kind: layout.kind, pattern: mosaic ? initials(cell) : "" },
      blackLevels: black.levels,
      blackFrom,
      whiteLevels: levels.clipCodes,
      statedWhite: whites,
      whiteFrom: levels.from,
      asShotMultipliers: colour.multipliers,
      luminanceRow: channelShares(cell, colour.luminanceRow),
      channelColours: cell.sites.map((site) => site.colour),
      toSrgb: colour.toSrgb,
      activeArea,
      crop: layout.crop,
      baselineExposureStops: dng?.baselineExposureStops ?? null,
      noiseFloor: border
        ? onBorder(border.noise)
        : profileNoise(dng?.readNoiseVariance, cell, whites, black.largest),
      histograms,
    },
  };
}

function initials(cell: FilterCell): string {
  return cell.sites.map(({ name }) => name.charAt(0).toUpperCase()).join("");
}

/** Read noise in codes from a DNG's noise profile, whose variances count in shares of the range. */
function profileNoise(
  variances: readonly number[] | null | undefined,
  cell: FilterCell,
  whites: readonly number[],
  blacks: readonly number[],
): readonly number[] | null {
  if (!variances) return null;
  return cell.sites.map(({ colour }, i) => {
    const variance = variances[Math.min(colour, variances.length - 1)] as number;
    return Math.sqrt(variance) * ((whites[i] as number) - (blacks[i] as number));
  });
}
