/** Markers of frames: SOF0 to SOF15 without DHT, JPG and DAC, which lie among them. */
const NO_FRAMES: ReadonlySet<number> = new Set([0xc4, 0xc8, 0xcc]);

/** What a JPEG says of its pixels before them. */
interface JpegFrame {
  readonly width: number;
  readonly height: number;
  readonly components: number;
}

/** How many colour components a JPEG has: 1 is grey, 3 are colours, 4 are inks. Null where it does not say. */
export function jpegComponents(file: Uint8Array): number | null {
  return jpegFrame(file)?.components ?? null;
}

/**
 * The frame header of a JPEG.
 *
 * @returns null where there is none before the file ends
 * @see [JPEG] ITU-T T.81, B.2.2
 */
export function jpegFrame(file: Uint8Array): JpegFrame | null {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  for (let at = 2; at + 10 <= file.length; ) {
    const marker = file[at + 1] as number;
    // Decoders skip stray bytes between segments; so do we. FF 00 is a stuffed byte, FF FF a fill byte.
    if (file[at] !== 0xff || marker === 0 || marker === 0xff) {
      at++;
      continue;
    }
    if (marker >= 0xc0 && marker <= 0xcf && !NO_FRAMES.has(marker)) {
      return {
        width: view.getUint16(at + 7),
        height: view.getUint16(at + 5),
        components: file[at + 9] as number,
      };
    }
    const alone = marker === 0x01 || (marker >= 0xd0 && marker <= 0xd8);
    at += alone ? 2 : 2 + Math.max(2, view.getUint16(at + 2));
  }
  return null;
}
