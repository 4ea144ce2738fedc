import { sniffFormat, tiffDirectories } from "@tonefall/exif-reader";
import { GraderError } from "../../model/errors.ts";
import type { StatedSensor } from "../../model/sensor.ts";
import { type DngTags, dngTags, type RepeatPattern } from "./dngTags.ts";
import { bayerPattern } from "./filterCell.ts";
import { type LibRawMetadata, openRaw } from "./libRaw.ts";
import { rafBlack } from "./rafBlack.ts";
import { statedBlack } from "./statedBlack.ts";

/**
 * What a raw file states of its sensor.
 *
 * @param source - a path, a file URL, or bytes
 * @returns null where LibRaw cannot open the file
 */
export async function readStatedSensor(
  source: string | URL | Uint8Array,
): Promise<StatedSensor | null> {
  try {
    return await openRaw(source, { pixels: false }, ({ file, metadata }) =>
      metadata ? stated(file, metadata) : null,
    );
  } catch (error) {
    if (error instanceof GraderError) return null;
    throw error;
  }
}

function stated(file: Uint8Array, metadata: LibRawMetadata): StatedSensor {
  const dng = dngTags(tiffDirectories(file));
  const black = blackOrNull(dng, rafBlack(file), metadata);
  const mosaic = dng ? dng.mosaic : bayerPattern(metadata.filters);
  return {
    width: dng?.width ?? metadata.rawWidth,
    height: dng?.height ?? metadata.rawHeight,
    pattern: mosaic ? mosaic.values.map((colour) => "RGB"[colour] ?? "?").join("") : "",
    blackLevels: black?.stated.values ?? null,
    blackFrom: black?.from ?? null,
    whiteLevels: dng?.white ?? makerWhite(file, metadata),
    asShotMultipliers: balance(
      dng?.asShotNeutral?.map((value) => 1 / value) ?? metadata.asShotMultipliers,
    ),
    baselineExposureStops: dng?.baselineExposureStops ?? null,
  };
}

/** LibRaw learns the depth of a CRW's samples, and so its white, when it unpacks them: what it says before is a guess. */
function makerWhite(file: Uint8Array, { canonWhite, white }: LibRawMetadata): [number] | null {
  if (sniffFormat(file.subarray(0, SNIFFED_BYTES)) === "crw") return null;
  return [canonWhite > 0 ? Math.min(canonWhite, white) : white];
}

const SNIFFED_BYTES = 64;

function blackOrNull(
  dng: DngTags | null,
  raf: RepeatPattern | null,
  metadata: LibRawMetadata,
): ReturnType<typeof statedBlack> | null {
  try {
    return statedBlack(dng, raf, metadata, null);
  } catch (error) {
    if (error instanceof GraderError) return null;
    throw error;
  }
}

function balance(multipliers: readonly number[]): readonly number[] | null {
  const [red = 0, green = 0, blue = 0] = multipliers;
  return red > 0 && green > 0 && blue > 0 ? [red / green, 1, blue / green] : null;
}
