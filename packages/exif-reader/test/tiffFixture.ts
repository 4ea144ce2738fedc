/** TIFF field types by name, with their number and the bytes per value. */
const TYPES = {
  BYTE: [1, 1],
  ASCII: [2, 1],
  SHORT: [3, 2],
  LONG: [4, 4],
  RATIONAL: [5, 8],
  UNDEFINED: [7, 1],
  SRATIONAL: [10, 8],
  FLOAT: [11, 4],
  DOUBLE: [12, 8],
} as const;

type FixtureType = keyof typeof TYPES;

/** A tag to write: its code, its type, and a text, numbers, or pairs of numerator and denominator. */
export type FixtureTag = readonly [
  code: number,
  type: FixtureType,
  values: string | readonly number[] | readonly (readonly [number, number])[],
];

/** Directories to write; the Exif and GPS ones are pointed to from IFD0, IFD1 follows IFD0. */
export interface FixtureDirectories {
  readonly ifd0?: readonly FixtureTag[];
  readonly exif?: readonly FixtureTag[];
  readonly gps?: readonly FixtureTag[];
  readonly ifd1?: readonly FixtureTag[];
  /** @default true */
  readonly littleEndian?: boolean;
}

const TAG_EXIF_IFD = 0x8769;
const TAG_GPS_IFD = 0x8825;

/** Writes a TIFF structure: header, IFD0, Exif, GPS, IFD1, each followed by its long values. */
export function tiffFixture(directories: FixtureDirectories): Uint8Array {
  const { ifd0 = [], exif, gps, ifd1, littleEndian = true } = directories;
  const pointers: FixtureTag[] = [];
  if (exif) pointers.push([TAG_EXIF_IFD, "LONG", [0]]);
  if (gps) pointers.push([TAG_GPS_IFD, "LONG", [0]]);

  const first = sorted([...ifd0, ...pointers]);
  const exifAt = 8 + directoryBytes(first);
  const gpsAt = exifAt + (exif ? directoryBytes(exif) : 0);
  const nextAt = gpsAt + (gps ? directoryBytes(gps) : 0);
  const bytes = new Uint8Array(nextAt + (ifd1 ? directoryBytes(ifd1) : 0));
  const view = new DataView(bytes.buffer);
  bytes.set(littleEndian ? [0x49, 0x49] : [0x4d, 0x4d]);
  view.setUint16(2, 42, littleEndian);
  view.setUint32(4, 8, littleEndian);
  const withPointers = first.map((tag): FixtureTag => {
    if (tag[0] === TAG_EXIF_IFD && exif) return [tag[0], "LONG", [exifAt]];
    return tag[0] === TAG_GPS_IFD && gps ? [tag[0], "LONG", [gpsAt]] : tag;
  });
  writeDirectory(view, 8, withPointers, littleEndian, ifd1 ? nextAt : 0);
  if (exif) writeDirectory(view, exifAt, sorted(exif), littleEndian, 0);
  if (gps) writeDirectory(view, gpsAt, sorted(gps), littleEndian, 0);
  if (ifd1) writeDirectory(view, nextAt, sorted(ifd1), littleEndian, 0);
  return bytes;
}

function sorted(tags: readonly FixtureTag[]): FixtureTag[] {
  return [...tags].sort(([a], [b]) => a - b);
}

function directoryBytes(tags: readonly FixtureTag[]): number {
  return tags.reduce((sum, tag) => sum + outOfLineBytes(tag), 6 + 12 * tags.length);
}

function outOfLineBytes([, type, values]: FixtureTag): number {
  const length = countOf(values) * TYPES[type][1];
  return length <= 4 ? 0 : length + (length % 2);
}

function countOf(values: FixtureTag[2]): number {
  return typeof values === "string" ? values.length + 1 : values.length;
}

function writeDirectory(
  view: DataView,
  at: number,
  tags: readonly FixtureTag[],
  littleEndian: boolean,
  next: number,
): void {
  view.setUint16(at, tags.length, littleEndian);
  let longAt = at + 6 + 12 * tags.length;
  tags.forEach((tag, index) => {
    const [code, type, values] = tag;
    const entryAt = at + 2 + 12 * index;
    view.setUint16(entryAt, code, littleEndian);
    view.setUint16(entryAt + 2, TYPES[type][0], littleEndian);
    view.setUint32(entryAt + 4, countOf(values), littleEndian);
    const isLong = outOfLineBytes(tag) > 0;
    if (isLong) view.setUint32(entryAt + 8, longAt, littleEndian);
    writeValues(view, isLong ? longAt : entryAt + 8, type, values, littleEndian);
    longAt += outOfLineBytes(tag);
  });
  view.setUint32(at + 2 + 12 * tags.length, next, littleEndian);
}

function writeValues(
  view: DataView,
  at: number,
  type: FixtureType,
  values: FixtureTag[2],
  littleEndian: boolean,
): void {
  const numbers = typeof values === "string" ? [...Buffer.from(`${values}\0`, "latin1")] : values;
  numbers.forEach((value, index) => {
    const to = at + index * TYPES[type][1];
    const [numerator, denominator] = typeof value === "number" ? [value, 1] : value;
    if (type === "SHORT") view.setUint16(to, numerator, littleEndian);
    else if (type === "LONG") view.setUint32(to, numerator, littleEndian);
    else if (type === "FLOAT") view.setFloat32(to, numerator, littleEndian);
    else if (type === "DOUBLE") view.setFloat64(to, numerator, littleEndian);
    else if (type === "RATIONAL" || type === "SRATIONAL") {
      view.setUint32(to, numerator, littleEndian); // the same bits for signed numbers
      view.setUint32(to + 4, denominator, littleEndian);
    } else view.setUint8(to, numerator);
  });
}
