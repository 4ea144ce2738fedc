/** Most pixels of the longer side of a picture on the page: sharp on a phone, and light on its memory. */
const LONG_SIDE = 1200;

/** The picture in a file as the browser shows it, upright and small; null where the browser cannot read it, as most HEIC and raw. */
export async function smallPicture(file: File): Promise<ImageBitmap | null> {
  try {
    // The browser may make a small picture larger: then it is drawn as it is shown, not as it is kept.
    return await createImageBitmap(file, { resizeWidth: LONG_SIDE, resizeQuality: "medium" });
  } catch {
    return null;
  }
}
