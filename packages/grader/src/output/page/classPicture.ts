import { smallPicture } from "../../picture/rendered/smallPicture.ts";
import { gradeFrame } from "../../run/gradeFrame.ts";
import { type FrameView, frameView, inPage } from "./frameView.ts";

/**
 * A hand-in at a size to look at, without metadata. Its row may come from the cache, so the picture is taken from the file.
 *
 * @param path - opens the file
 * @param longSide - the most pixels of its longer side
 * @returns null where the file cannot be shown
 */
export async function classPicture(path: string, longSide: number): Promise<FrameView["picture"]> {
  const pixels = await smallPicture(path, longSide);
  if (pixels) return { ...(await inPage(pixels, longSide)), drawnFromLight: false };
  let picture: FrameView["picture"] = null;
  // Raw files, and those that the decoder of small pictures cannot read, are decoded as they are for grading.
  await gradeFrame(
    path,
    {},
    {
      look: async (seen) => {
        ({ picture } = await frameView(seen, { picture: longSide, proxy: 0 }));
      },
    },
  );
  return picture;
}
