/** A TIFF as raw files are: what it holds first is a preview, a decoder's idea of a picture. */
export interface RawTiff {
  readonly make?: string;
  /** Bytes between the header and the directories, such as a maker's mark. */
  readonly mark?: string;
  /** PhotometricInterpretation of the picture below the preview; none where left out. */
  readonly below?: number;
  /** Whether that picture follows the preview, or lies under it. */
  readonly chained?: boolean;
  /** Whether the preview says that it is one. */
  readonly reduced?: boolean;
  readonly extraTag?: number;
}

const MAKE_AT = 64;
const PIXELS_AT = 128;
const SUB_AT = 160;
const FIRST_AT = 400;

/** A preview of four white pixels, which any TIFF decoder shows, and the marks of a raw file. */
export function rawTiff({ make, mark, below, chained, reduced, extraTag }: RawTiff): Uint8Array {
  const file = Buffer.alloc(700);
  file.write("II*\0", 0, "latin1");
  file.writeUInt32LE(FIRST_AT, 4);
  file.write(mark ?? "", 8, "latin1");
  file.fill(255, PIXELS_AT, PIXELS_AT + 4);
  const grey = (photometric: number): [number, number][] => [
    [256, 2],
    [257, 2],
    [258, 8],
    [259, 1],
    [262, photometric],
    [273, PIXELS_AT],
    [277, 1],
    [278, 2],
    [279, 4],
  ];
  const preview = grey(1);
  if (reduced) preview.push([254, 1]);
  if (below !== undefined && !chained) preview.push([330, SUB_AT]);
  if (extraTag !== undefined) preview.push([extraTag, 1]);
  if (make !== undefined) {
    file.write(`${make}\0`, MAKE_AT, "latin1");
    preview.push([271, MAKE_AT]);
  }
  const next = below !== undefined && chained ? SUB_AT : 0;
  writeDirectory(file, FIRST_AT, preview, next, make?.length ?? 0);
  if (below !== undefined) writeDirectory(file, SUB_AT, grey(below), 0, 0);
  return file;
}

function writeDirectory(
  file: Buffer,
  at: number,
  tags: readonly (readonly [number, number])[],
  next: number,
  makeLength: number,
): void {
  const sorted = [...tags].sort(([a], [b]) => a - b);
  file.writeUInt16LE(sorted.length, at);
  for (const [i, [tag, value]] of sorted.entries()) {
    const isText = tag === 271;
    file.writeUInt16LE(tag, at + 2 + 12 * i);
    file.writeUInt16LE(isText ? 2 : 4, at + 4 + 12 * i);
    file.writeUInt32LE(isText ? makeLength + 1 : 1, at + 6 + 12 * i);
    file.writeUInt32LE(value, at + 10 + 12 * i);
  }
  file.writeUInt32LE(next, at + 2 + 12 * sorted.length);
}
