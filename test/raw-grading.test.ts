import { mkdir, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { gradeFrame, gradeFrames, pairOf, readFrame, type ShotRow } from "@tonefall/grader";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { flat, newFolder } from "./pictures.ts";
import { dngFile } from "./raw/dngFile.ts";

const BLACK = 512;
const WHITE = 16383;
const SIZE = 64;

/** A neutral DNG whose every site holds this share of saturation, but for a corner that is blown. */
function neutralDng(share: number, blownShare = 0): Uint8Array {
  const code = Math.round(BLACK + share * (WHITE - BLACK));
  const blown = Math.round(SIZE * Math.sqrt(blownShare));
  const samples = Uint16Array.from({ length: SIZE * SIZE }, (_, i) =>
    i % SIZE < blown && Math.floor(i / SIZE) < blown ? WHITE : code,
  );
  return dngFile({
    width: SIZE,
    height: SIZE,
    samples,
    black: [BLACK],
    white: [WHITE],
    asShotNeutral: [1, 1, 1],
  });
}

describe("raw rows", () => {
  test("10/78 of saturation is middle grey unless another share is given", async () => {
    const dng = neutralDng(10 / 78);
    const row = await gradeFrame(dng, { place: 0 });
    expect(row.basis).toBe("scene");
    expect(row.fall?.stops).toBeCloseTo(0, 2);
    expect(row.verdict).toBe("within");
    expect(row.error?.uncertaintyParts["middleGrey"]).toBe(0.3);
    expect(row.sensor?.middleGrey.stopsBelowSaturation).toBeCloseTo(2.963, 3);
    const other = await gradeFrame(dng, { place: 0 }, { middleGrey: 5 / 78 });
    expect(other.fall?.stops).toBeCloseTo(1, 2);
    expect(other.sensor?.middleGrey.shareOfSaturation).toBe(5 / 78);
  });

  test("room above the region is to its first channel's white, whatever clips elsewhere", async () => {
    const row = await gradeFrame(neutralDng(0.25, 1 / 16), { region: "box:0.5,0.5,0.5,0.5" });
    expect(row.sensor?.roomAboveRegion.stops).toBeCloseTo(2, 3);
    expect(row.sensor?.roomAboveFrame.stops).toBe(0);
    expect(row.sensor?.channels).toHaveLength(4);
    for (const { clippedShare } of row.sensor?.channels ?? []) {
      expect(clippedShare).toBe(1 / 16);
    }
  });

  test("histograms are counted on the sensor's own values", async () => {
    const { sensor } = await gradeFrame(neutralDng(0.25, 1 / 16), {}, { histograms: true });
    const [red] = sensor?.channels ?? [];
    const counts = red?.histograms;
    expect(counts?.linear.reduce((sum, count) => sum + count, 0)).toBe(red?.samples);
    // A quarter of saturation lies two stops down: six thirds.
    const below = counts?.stopsBelowSaturation ?? [];
    expect((below[5] ?? 0) + (below[6] ?? 0)).toBe((red?.samples ?? 0) - (red?.clipped ?? 0));
  });

  test("a rendered claim on a raw file is graded on the sensor, and says so", async () => {
    const { basis, notes } = await gradeFrame(neutralDng(0.1), { basis: "rendered", place: 0 });
    expect(basis).toBe("scene");
    expect(notes.map(({ code }) => code)).toContain("raw-has-no-rendering");
  });

  test("read states the sensor's levels without its pixels", async () => {
    const { statedSensor, format } = await readFrame(neutralDng(0.1));
    expect(format).toBe("dng");
    expect(statedSensor).toMatchObject({
      width: SIZE,
      pattern: "RGGB",
      blackLevels: [BLACK],
      blackFrom: "dng-tags",
      whiteLevels: [WHITE],
    });
  });
});

/** A sidecar of both: f/8, 1/125 s, ISO 200, and when. */
const SETTINGS_XMP = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:FNumber="8/1" exif:ExposureTime="1/125"
exif:DateTimeOriginal="2024-05-31T18:04:09"><exif:ISOSpeedRatings><rdf:Seq><rdf:li>200</rdf:li></rdf:Seq></exif:ISOSpeedRatings>
</rdf:Description></rdf:RDF></x:xmpmeta>`;

describe("a raw and a rendered file of one shot", () => {
  let folder = "";
  beforeAll(async () => {
    folder = await newFolder();
    await mkdir(join(folder, "pair"));
    await writeFile(join(folder, "pair", "IMG_1.dng"), neutralDng(0.1));
    // The rendering shows that light near one stop above middle grey: code 158.
    await flat(158, SIZE, SIZE)
      .png()
      .toFile(join(folder, "pair", "IMG_1.png"));
    await writeFile(join(folder, "pair", "IMG_1.xmp"), SETTINGS_XMP);
  });
  afterAll(() => rm(folder, { recursive: true }));

  const grade = async (names: readonly string[]): ReturnType<typeof collect> =>
    collect(names.map((name) => join(folder, "pair", name)));
  async function collect(paths: string[]): Promise<Awaited<ReturnType<typeof gradeFrame>>[]> {
    const rows = [];
    for await (const row of gradeFrames(paths)) rows.push(row);
    return rows;
  }

  test("tell where the rendering puts middle grey", async () => {
    const [raw, rendered] = await grade(["IMG_1.dng", "IMG_1.png"]);
    if (!raw || !rendered) throw new Error("expected two rows");
    expect([raw.basis, rendered.basis]).toEqual(["scene", "rendered"]);
    const pair = pairOf(raw, rendered);
    expect(pair).toMatchObject({
      raw: raw.file,
      rendered: rendered.file,
      clippedOnlyInRendering: false,
    });
    // What it shows above middle grey is 1/1.3 of that in scene stops.
    const shown = rendered.fall?.stops ?? 0;
    expect(pair?.renderedMiddleGrey?.shareOfSaturation).toBeCloseTo(0.1 / 2 ** (shown / 1.3), 3);
    expect(pairOf(rendered, raw)).toEqual(pair);
  });

  test("two rendered files, or two shots, are no pair", async () => {
    const [raw, rendered] = await grade(["IMG_1.dng", "IMG_1.png"]);
    if (!raw || !rendered) throw new Error("expected two rows");
    expect(pairOf(rendered, rendered)).toBeNull();
    const saying = (said: Partial<NonNullable<ShotRow["exposure"]>>): ShotRow => ({
      ...rendered,
      exposure: rendered.exposure && { ...rendered.exposure, ...said },
    });
    expect(pairOf(raw, saying({}))).not.toBeNull();
    const from = "test";
    expect(pairOf(raw, saying({ iso: { value: 800, from } }))).toBeNull();
    // The same light by other settings is another shot.
    const { aperture, shutter } = rendered.exposure ?? {};
    const equivalent = {
      aperture: { value: Math.SQRT2 * (aperture?.value ?? 0), from },
      shutter: { value: 2 * (shutter?.value ?? 0), from },
    };
    expect(pairOf(raw, saying(equivalent))).toBeNull();
    expect(pairOf(raw, saying({ capturedAt: { value: "2024-05-31T18:04:10", from } }))).toBeNull();
  });

  test("files that do not say settings or time are no pair, however much their names agree", async () => {
    const [raw, rendered] = await grade(["IMG_1.dng", "IMG_1.png"]);
    if (!raw || !rendered) throw new Error("expected two rows");
    for (const field of ["aperture", "shutter", "iso", "capturedAt"] as const) {
      const exposure = rendered.exposure && {
        ...rendered.exposure,
        [field]: { value: null, reason: "not-recorded" },
      };
      expect(pairOf(raw, { ...rendered, exposure }), field).toBeNull();
    }
    expect(pairOf(raw, { ...rendered, exposure: null })).toBeNull();
  });
});

describe.skipIf(!hasCorpus)(`raw formats that hide their Exif${skippedBecause}`, () => {
  // Truth: raw-identify of LibRaw: 5.0 s, f/5.6, ISO 100.
  test("LibRaw fills the record, and says that it did", async () => {
    const { exposure } = await readFrame(corpusFile("raw/CRW.CRW"));
    expect(exposure?.shutter).toMatchObject({
      value: expect.closeTo(5, 1),
      from: "LibRaw shutter",
    });
    expect(exposure?.aperture.value).toBeCloseTo(5.6, 1);
    expect(exposure?.iso.value).toBe(100);
  });

  // The file records 0 for time, aperture and their APEX values alike, of which LibRaw makes one second and f/1.
  test("what the file records as 0 stays unknown", async () => {
    const { exposure } = await readFrame(corpusFile("raw/colorchart.dng"));
    expect(exposure).toMatchObject({
      shutter: { value: null, reason: "zero" },
      aperture: { value: null, reason: "zero" },
    });
  });
});
