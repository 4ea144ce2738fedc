import { readdir, readFile } from "node:fs/promises";
import { join, relative } from "node:path";
import { gradeFrame } from "@tonefall/grader";
import { describe, expect, test } from "vitest";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { picture } from "./pictures.ts";
import { madePicture, PICTURE_KINDS } from "./scaleEndPictures.ts";

/** Made pictures of each kind in the documented table. */
const PICTURES = 40;

const TABLE = new URL("../packages/grader/docs/clipping.md", import.meta.url);

async function endOf(source: string | Uint8Array) {
  const row = await gradeFrame(source);
  expect(row.failure).toBeNull();
  return row.picture?.scaleEnd ?? null;
}

describe("the end of a file's own scale, on made pictures", () => {
  test.each(PICTURE_KINDS)(
    "$name: as often as the docs say",
    { timeout: 300_000 },
    async (kind) => {
      let found = 0;
      for (let seed = 1; seed <= PICTURES; seed++) {
        const { bytes } = await madePicture(kind, seed);
        if (await endOf(bytes)) found++;
      }
      const line = `| ${kind.name} | ${kind.cut ? "yes" : "no"} | ${found} of ${PICTURES} |`;
      const table = (await readFile(TABLE, "utf8")).replace(/ {2,}/g, " ");
      expect(table).toContain(line);
      // Of what is not cut, at most one in twenty may be called so, whatever the table says.
      if (!kind.cut) expect(found).toBeLessThanOrEqual(PICTURES / 20);
    },
  );

  test("is where the picture was cut, and clips just what lies there", async () => {
    const [width, height, end] = [300, 200, 240];
    const codes = (x: number, y: number): number[] =>
      [1, 0.98, 0.95].map((tint) => Math.min(end, Math.round(tint * (30 + x + (y % 7)))));
    const bytes = await picture(width, height, codes).png().toBuffer();
    let cut = 0;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) if (codes(x, y).includes(end)) cut++;
    }
    const row = await gradeFrame(bytes, { place: 0 });
    expect(row.picture?.scaleEnd).toMatchObject({ codes: [end, end, end], fullScale: 255 });
    expect(row.clipped?.share).toBe(cut / (width * height));
    expect(row.fall?.bound).toBe("at least");
    expect(row.notes).toContainEqual(expect.objectContaining({ code: "scale-ends-below-white" }));
  });
});

describe.skipIf(!hasCorpus)(
  `the end of a file's own scale, on photographs${skippedBecause}`,
  () => {
    const WINDOW = "bracket/window_E995";

    test("of a camera that tops out at 251: the wall is clipped in all precisions", async () => {
      for (const number of ["11", "12"]) {
        const path = corpusFile(`${WINDOW}/HDRI_Sample_Scene_Window_-_${number}.jpg`);
        for (const precision of ["exact", "standard", "quick"] as const) {
          const row = await gradeFrame(path, { region: WALL, place: 2.2 }, { precision });
          expect(row.picture?.scaleEnd).toMatchObject({ codes: [251, 251, 251], fullScale: 255 });
          expect(row.clipped?.share).toBeGreaterThan(0.9);
          expect(row.verdict).not.toBe("within");
        }
      }
    });

    test("is found in no photograph that is not cut", { timeout: 300_000 }, async () => {
      const found: string[] = [];
      for (const folder of ["bracket", "cameras", "chart", "color", "metadata", "orientation"]) {
        for (const path of await picturesIn(corpusFile(folder))) {
          const { picture } = await gradeFrame(path, {}, { precision: "quick" });
          if (picture?.scaleEnd) found.push(relative(corpusFile(""), path));
        }
      }
      // Seen by eye: flames, the snow of a game and a sky, each one flat white. The window, from its fourth frame on, was
      // judged by its histograms alone.
      const window = ["04", "05", "06", "07", "08", "09", "10", "11", "12"];
      expect(found.sort()).toEqual(
        [
          ...window.map((number) => `${WINDOW}/HDRI_Sample_Scene_Window_-_${number}.jpg`),
          "color/gain-map.jpg",
          "metadata/45-gps_ifd.jpg",
          "metadata/canon-ixus.jpg",
        ].sort(),
      );
    });
  },
);

/** A part of the wall that is flat white in the lightest frames. */
const WALL = "box:0.1,0.1,0.2,0.2";

async function picturesIn(folder: string): Promise<string[]> {
  const names = await readdir(folder, { recursive: true });
  return names.filter((name) => /\.jpe?g$/i.test(name)).map((name) => join(folder, name));
}
