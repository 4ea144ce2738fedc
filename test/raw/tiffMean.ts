/**
 * Mean of one channel of an uncompressed 16-bit little-endian TIFF of one strip, as LibRaw's tools write it.
 *
 * @param channel - of how many the file says there are
 */
export function tiffMean(file: Buffer, channel = 0): number {
  const start = file.readUInt32LE(4);
  const tags = new Map<number, number>();
  for (let i = 0; i < file.readUInt16LE(start); i++) {
    const at = start + 2 + 12 * i;
    const isShort = file.readUInt16LE(at + 2) === 3;
    tags.set(
      file.readUInt16LE(at),
      isShort ? file.readUInt16LE(at + 8) : file.readUInt32LE(at + 8),
    );
  }
  const count = (tags.get(256) as number) * (tags.get(257) as number);
  const channels = tags.get(277) ?? 1;
  let sum = 0;
  for (let i = 0; i < count; i++) {
    sum += file.readUInt16LE((tags.get(273) as number) + 2 * (i * channels + channel));
  }
  return sum / count;
}
