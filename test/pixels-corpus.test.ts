import { readFileSync } from "node:fs";
import { type FrameResult, gradeFrame } from "@tonefall/grader";
import { beforeAll, describe, expect, test } from "vitest";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";

/** Means against an independent decode and conversion; JPEG decoders differ by a code or so. */
const MEAN_TOLERANCE_STOPS = 0.02;
/** Medians of the reference are codes of 8 bits and rounded to five decimals. */
const MEDIAN_TOLERANCE_STOPS = 0.06;
const CLIP_TOLERANCE = 0.002;

/** Files where the reference measures something else, and why ours is right. */
const EXPLAINED: Readonly<Record<string, string>> = {
  "color/concert.jpg": "grey gamma 2.2 profile; the reference takes the codes as sRGB",
  "color/kodim03_grayscale_gamma1.6.png":
    "PNG that states gamma 1/1.6; the reference takes the codes as sRGB",
  "color/colors_hdr_rec2020.avif": "PQ curve: refused here, read as sRGB by the reference",
  "color/pairs/l1qnb5_nkitzmiller_2020_g1.png":
    "linear 16 bits; the reference converts to 8 bits first (pairs are tested below)",
  "color/pairs/q3a0b3_d17ws_709_g1.png": "as above",
  "color/pairs/vgqcws_vin_709_g1.png": "as above",
  "color/tif-with-iptc-icc-xmp.tif":
    "97 % of its ProPhoto pixels lie outside sRGB, where the reference clips them",
  "metadata/thompson-springs.jpg":
    "a profile of tables: converted by its perceptual intent here, colorimetric in the reference",
};

interface PixelTruth {
  readonly size?: readonly [number, number];
  readonly as_srgb?: { readonly mean_Y: number; readonly median_Y: number };
  readonly share_any_channel_255?: number;
  readonly share_all_channels_0?: number;
  readonly icc?: { readonly mean_Y_after_conversion_to_srgb_relative_colorimetric: number };
}

// Reference: Pillow, with LittleCMS for embedded profiles; recorded beside the photographs.
describe.skipIf(!hasCorpus)(
  `real photographs against an independent decoder${skippedBecause}`,
  () => {
    const results = new Map<string, FrameResult>();
    let truth: Record<string, PixelTruth> = {};

    beforeAll(async () => {
      truth = (
        JSON.parse(readFileSync(corpusFile("truth_pixels.json"), "utf8")) as { files: typeof truth }
      ).files;
      for (const [file, answer] of Object.entries(truth)) {
        if (answer.as_srgb) results.set(file, await gradeFrame(corpusFile(file)));
      }
    }, 300_000);

    test("every picture the reference decodes is decoded, in its own size", () => {
      const failed = [...results].filter(([file, { failure }]) => failure && !(file in EXPLAINED));
      expect(failed.map(([file]) => file)).toEqual([]);
      for (const [file, { picture }] of results) {
        if (!picture) continue;
        expect([picture.width, picture.height].sort(), file).toEqual(
          [...(truth[file]?.size ?? [])].sort(),
        );
      }
      expect(results.size).toBeGreaterThan(150);
    });

    test("mean luminance agrees, but for the explained", () => {
      const off = disagreements(({ fall }, answer) => {
        const mean =
          answer.icc?.mean_Y_after_conversion_to_srgb_relative_colorimetric ??
          answer.as_srgb?.mean_Y ??
          0;
        return Math.abs((fall?.stops ?? 0) - Math.log2(mean / 0.18)) > MEAN_TOLERANCE_STOPS;
      });
      expect(off).toEqual([]);
    });

    test("median luminance agrees where no profile changes it, but for the explained", () => {
      const off = disagreements(({ fall }, answer) => {
        const median = answer.as_srgb?.median_Y ?? 0;
        // The reference's five decimals say nothing in deep black.
        if (answer.icc || median < 0.002) return false;
        return Math.abs((fall?.median ?? 0) - Math.log2(median / 0.18)) > MEDIAN_TOLERANCE_STOPS;
      });
      expect(off).toEqual([]);
    });

    test("clipped and crushed shares agree on the file's own codes", () => {
      const off = disagreements(({ clipped, crushed, picture }, answer) => {
        // Where a file's own scale ends below 255, its plateau is counted, which the reference does not look for.
        if (picture?.colourFrom === "converted" || picture?.scaleEnd) return false;
        const clip = Math.abs((clipped?.share ?? 0) - (answer.share_any_channel_255 ?? 0));
        const crush = Math.abs((crushed?.share ?? 0) - (answer.share_all_channels_0 ?? 0));
        return clip > CLIP_TOLERANCE || crush > CLIP_TOLERANCE;
      });
      expect(off).toEqual([]);
    });

    test("a picture in sRGB and its linear twin fall alike", async () => {
      const { pairs } = JSON.parse(
        readFileSync(corpusFile("color/pairs/truth_pairs.json"), "utf8"),
      ) as {
        pairs: Record<string, Record<string, { mean_linear_Y: number } | number>>;
      };
      let compared = 0;
      for (const members of Object.values(pairs)) {
        for (const [file, answer] of Object.entries(members)) {
          if (typeof answer === "number") continue;
          const { fall } = await gradeFrame(corpusFile(`color/pairs/${file}`));
          // Five decimals of the reference are 0.6 % at the darkest pair.
          expect(fall?.stops, file).toBeCloseTo(
            Math.log2(answer.mean_linear_Y / 0.18),
            answer.mean_linear_Y > 0.01 ? 2 : 1,
          );
          compared++;
        }
      }
      expect(compared).toBeGreaterThanOrEqual(10);
    });

    test("CMYK with a profile agrees with LittleCMS", async () => {
      const { fall } = await gradeFrame(corpusFile("color/Channel_digital_image_CMYK_color.jpg"));
      // Pillow 9.4 with LittleCMS, embedded profile to sRGB, perceptual: mean luminance 0.252689.
      expect(fall?.stops).toBeCloseTo(Math.log2(0.252689 / 0.18), 3);
    });

    test("a region holds the same tones however the picture is stored", async () => {
      const falls = [];
      for (let orientation = 1; orientation <= 8; orientation++) {
        const file = corpusFile(`orientation/landscape/landscape_${orientation}.jpg`);
        const { fall, picture } = await gradeFrame(file, { region: "box:0.1,0.05,0.3,0.4" });
        // All are 600 by 450 when upright; how each is stored is recorded in truth_pixels.json.
        expect([picture?.width, picture?.height]).toEqual([600, 450]);
        falls.push(fall?.stops ?? Number.NaN);
      }
      // The copies were compressed anew after turning, so they differ by the noise of JPEG.
      for (const fall of falls) expect(Math.abs(fall - (falls[0] as number))).toBeLessThan(0.02);
    });

    function disagreements(
      differs: (result: FrameResult, answer: PixelTruth) => boolean,
    ): string[] {
      return [...results]
        .filter(
          ([file, result]) => !(file in EXPLAINED) && differs(result, truth[file] as PixelTruth),
        )
        .map(([file]) => file);
    }
  },
);
