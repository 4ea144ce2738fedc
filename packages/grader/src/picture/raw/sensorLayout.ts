import { GraderError } from "../../model/errors.ts";
import type { FilterKind, SensorRectangle } from "../rawSensor.ts";
import type { DngTags, RepeatPattern } from "./dngTags.ts";
import { bayerPattern } from "./filterCell.ts";
import type { LibRawMetadata, LibRawSensor } from "./libRaw.ts";

/** What lies where on the sensor. */
export interface SensorLayout {
  readonly kind: FilterKind;
  /** Filter colours from the active area's corner; null where there is no mosaic. */
  readonly mosaic: RepeatPattern | null;
  /** The part that sees light, in samples of the unpacked sensor. */
  readonly activeArea: SensorRectangle;
  /** The picture proper within it. */
  readonly crop: SensorRectangle;
}

const X_TRANS = 9;

/**
 * The layout of an unpacked sensor.
 *
 * A DNG states its whole layout. LibRaw moves a DNG's active area with an odd corner to the next even one, so for a DNG only
 * the file's own tags are used; LibRaw's margins and filter word serve the other formats.
 *
 * @param mosaic - colours of a 6 x 6 mosaic from the visible corner, as LibRaw shows them
 * @throws {@link GraderError} `raw-unsupported` for layouts that are not understood
 */
export function sensorLayout(
  dng: DngTags | null,
  metadata: LibRawMetadata,
  sensor: LibRawSensor,
  mosaic: readonly number[] | null,
): SensorLayout {
  const layout = dng ? dngLayout(dng, sensor) : makerLayout(metadata, sensor, mosaic);
  const whole = { left: 0, top: 0, width: sensor.width, height: sensor.height };
  const { activeArea, crop } = layout;
  if (!contains(whole, activeArea) || !contains(activeArea, crop)) {
    throw unsupported(
      "a sensor whose picture does not lie within its samples (photosites at 45 degrees, or resampled)",
    );
  }
  return layout;
}

function dngLayout(dng: DngTags, sensor: LibRawSensor): SensorLayout {
  if (dng.planes === 3) {
    // LibRaw gives the active area of a demosaiced picture, not the whole.
    const { left, top } = dng.activeArea;
    const crop = { ...dng.crop, left: dng.crop.left - left, top: dng.crop.top - top };
    const activeArea = { left: 0, top: 0, width: sensor.width, height: sensor.height };
    return { kind: "demosaiced", mosaic: null, activeArea, crop };
  }
  const { mosaic, activeArea, crop } = dng;
  return { kind: mosaic ? kindOf(mosaic) : "monochrome", mosaic, activeArea, crop };
}

function makerLayout(
  metadata: LibRawMetadata,
  sensor: LibRawSensor,
  sixBySix: readonly number[] | null,
): SensorLayout {
  if (sensor.planes === 3 || metadata.foveon) {
    throw unsupported("a picture that the camera has already turned into three colours");
  }
  const { leftMargin: left, topMargin: top, filters } = metadata;
  const activeArea = { left, top, width: sensor.visibleWidth, height: sensor.visibleHeight };
  const crop = makerCrop(metadata, activeArea);
  if (filters === 0 && metadata.colours === 1) {
    return { kind: "monochrome", mosaic: null, activeArea, crop };
  }
  const mosaic =
    filters === X_TRANS
      ? sixBySix && { rows: 6, columns: 6, values: sixBySix }
      : bayerPattern(filters);
  if (!mosaic || metadata.colours !== 3) {
    throw unsupported(`colour filters other than red, green and blue (${metadata.colourNames})`);
  }
  return { kind: kindOf(mosaic), mosaic, activeArea, crop };
}

/** LibRaw's crop counts from the sensor's corner; 65535 stands for none. */
function makerCrop({ crop }: LibRawMetadata, area: SensorRectangle): SensorRectangle {
  if (!crop || crop.cwidth === 0 || crop.cheight === 0) return area;
  const { cleft: left, ctop: top, cwidth: width, cheight: height } = crop;
  const rectangle = { left, top, width, height };
  return contains(area, rectangle) ? rectangle : area;
}

function kindOf({ rows, columns, values }: RepeatPattern): FilterKind {
  if (values.some((colour) => colour > 2 || colour < 0)) {
    throw unsupported("colour filters other than red, green and blue");
  }
  if (rows === 6 && columns === 6) return "x-trans";
  return rows === 2 && columns === 2 ? "bayer" : "mosaic";
}

function contains(outer: SensorRectangle, inner: SensorRectangle): boolean {
  return (
    inner.width > 0 &&
    inner.height > 0 &&
    inner.left >= outer.left &&
    inner.top >= outer.top &&
    inner.left + inner.width <= outer.left + outer.width &&
    inner.top + inner.height <= outer.top + outer.height
  );
}

function unsupported(what: string): GraderError {
  return new GraderError(
    "raw-unsupported",
    `Expected a mosaic, monochrome or linear DNG sensor but the file holds ${what}; grade a JPEG or TIFF made from it`,
  );
}
