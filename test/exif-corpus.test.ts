import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { ExifError, type ExposureRecord, type Field, readExposure } from "@tonefall/exif-reader";
import { beforeAll, describe, expect, test } from "vitest";
import {
  exifSegment,
  heifFixture,
  jpegFixture,
  pngFixture,
  pngText,
  rawProfile,
  webpFixture,
  xmpSegment,
} from "../packages/exif-reader/test/containerFixtures.ts";
import { type FixtureTag, tiffFixture } from "../packages/exif-reader/test/tiffFixture.ts";
import { xmpFixture } from "../packages/exif-reader/test/xmpFixture.ts";
import { corpusFile, hasCorpus, skippedBecause } from "./corpus.ts";
import { exifTool } from "./outside.mjs";

/*
 * Exposure records against ExifTool, an independent reader: its recorded answers on real
 * photographs, and on small files that are written here. `reference/exif-truth.json` holds the
 * latter; RECORD_EXIF_TRUTH=1 writes it anew where ExifTool is installed.
 */

/** ExifTool's JSON for a file: `group:tag` to a plain value. */
interface Answer {
  readonly SourceFile?: string;
  readonly [tag: string]: unknown;
}

const EXIFTOOL: string = exifTool.path ?? "exiftool";
const hasExifTool = exifTool.path !== null;

/** ExifTool prints quotients of rationals with ten significant digits. */
const TOLERANCE = 1e-9;

const METERING = [
  "unknown",
  "average",
  "centre-weighted",
  "spot",
  "multi-spot",
  "multi-segment",
  "partial",
];
const PROGRAMMES = [
  "not-defined",
  "manual",
  "programme",
  "aperture-priority",
  "shutter-priority",
  "creative",
  "action",
  "portrait",
  "landscape",
];
const SENSITIVITIES = [
  "unknown",
  "sos",
  "rei",
  "iso-speed",
  "sos-and-rei",
  "sos-and-iso-speed",
  "rei-and-iso-speed",
  "sos-and-rei-and-iso-speed",
];

const COLOUR_SPACES = { srgb: 1, "adobe-rgb": 2, uncalibrated: 65535 };

/** What a record says under the name that ExifTool gives the tag, in ExifTool's form. */
const MAIN_FIELDS: Readonly<Record<string, (record: ExposureRecord) => unknown>> = {
  FNumber: ({ aperture }) => aperture.value,
  ExposureTime: ({ shutter }) => shutter.value,
  ISO: ({ iso }) => iso.value,
  ExposureCompensation: ({ compensation }) => compensation.value,
  MeteringMode: ({ meteringPattern }) => codeOf(METERING, meteringPattern),
};

const OTHER_FIELDS: typeof MAIN_FIELDS = {
  ExposureProgram: ({ programme }) => codeOf(PROGRAMMES, programme),
  ExposureMode: ({ mode }) => codeOf(["auto", "manual", "auto-bracket"], mode),
  BrightnessValue: ({ brightnessValue }) => brightnessValue.value,
  SubjectArea: ({ subjectArea }) =>
    subjectArea.value && Object.values(subjectArea.value).slice(1).join(" "),
  Orientation: ({ orientation }) => orientation.value,
  ColorSpace: ({ colourSpace }) => codeOf(COLOUR_SPACES, colourSpace),
  Make: ({ make }) => make.value,
  Model: ({ model }) => model.value,
  SensitivityType: ({ sensitivityType }) => codeOf(SENSITIVITIES, sensitivityType),
  FocalLength: ({ focalLength }) => focalLength.value,
  FocalLengthIn35mmFormat: ({ focalLength35mm }) => focalLength35mm.value,
};

/** The code behind a name; where that is `other`, the record keeps the code beside it. */
function codeOf(codes: readonly string[] | Readonly<Record<string, number>>, field: Field<string>) {
  if ("reason" in field) return null;
  if (field.value === "other") return Number(field.found ?? 255);
  return Array.isArray(codes) ? codes.indexOf(field.value) : Object(codes)[field.value];
}

/** Exif first, XMP where Exif lacks the tag; never a maker note, whose codes mean other things. */
function exifToolSays(answer: Answer, tag: string): unknown {
  const groups = ["ExifIFD", "IFD0", "XMP-exif", "XMP-exifEX", "XMP-tiff"];
  const group = groups.find((candidate) => `${candidate}:${tag}` in answer);
  return group === undefined ? undefined : answer[`${group}:${tag}`];
}

function agrees(ours: unknown, theirs: unknown): boolean {
  if (typeof theirs === "number" && typeof ours === "number") {
    return Math.abs(ours - theirs) <= TOLERANCE * Math.max(1, Math.abs(theirs));
  }
  return String(ours) === (Array.isArray(theirs) ? theirs.join(" ") : String(theirs));
}

/** Where we differ on purpose: file and tag to the reason. */
const EXPLAINED: Readonly<Record<string, string>> = {
  "metadata/FujiFilm_FinePixS2Pro.jpg FNumber":
    "0.2 is no f-number of any lens; its ApertureValue gives f/2.3",
  "metadata/FujiFilm_FinePixS2Pro.jpg ISO": "0 means that the camera recorded none",
  "metadata/Olympus___Digital_800.JPG ExposureCompensation":
    "15.4 stops of compensation exist on no camera",
  "metadata/maker/Motorola.jpg BrightnessValue":
    "-1/1 has the numerator FFFFFFFF.H, by the standard 'unknown'; f/2 at 1/1960 s is bright day",
};

describe.skipIf(!hasCorpus)(`real photographs against ExifTool${skippedBecause}`, () => {
  const records = new Map<string, ExposureRecord>();
  let answers: Answer[] = [];
  beforeAll(async () => {
    answers = JSON.parse(readFileSync(corpusFile("truth.json"), "utf8")).files;
    for (const { SourceFile: file } of answers) {
      records.set(String(file), await readExposure(corpusFile(String(file))));
    }
  });

  /** Fields that ExifTool has a value for, and those of them where we have another. */
  const compare = (fields: typeof MAIN_FIELDS) => {
    const differing: string[] = [];
    let compared = 0;
    for (const answer of answers) {
      const record = records.get(answer.SourceFile ?? "");
      for (const [tag, ourValue] of Object.entries(fields)) {
        const theirs = exifToolSays(answer, tag);
        if (theirs === undefined || record === undefined) continue;
        compared += 1;
        if (!agrees(ourValue(record), theirs)) differing.push(`${answer.SourceFile} ${tag}`);
      }
    }
    return { compared, differing };
  };

  test.each([
    ["aperture, shutter, ISO, compensation and pattern", 600, MAIN_FIELDS],
    ["the other fields", 900, OTHER_FIELDS],
  ])("at least 99 % of %s agree, each other one explained", (_, least, fields) => {
    const { compared, differing } = compare(fields);
    expect(compared).toBeGreaterThan(least);
    expect(differing.filter((entry) => EXPLAINED[entry] === undefined)).toEqual([]);
    expect(1 - differing.length / compared).toBeGreaterThanOrEqual(0.99);
  });

  test("no explanation is out of date", () => {
    const differing = [...compare(MAIN_FIELDS).differing, ...compare(OTHER_FIELDS).differing];
    expect(differing.sort()).toEqual(Object.keys(EXPLAINED).sort());
  });

  test("the flash fired where ExifTool says so, in Exif or in the structure of XMP", () => {
    let compared = 0;
    for (const answer of answers) {
      const code = answer["ExifIFD:Flash"] ?? answer["Composite:Flash"];
      if (typeof code !== "number") continue;
      compared += 1;
      const record = records.get(answer.SourceFile ?? "");
      expect.soft(record?.flashFired.value, answer.SourceFile ?? "").toBe(code % 2 === 1);
    }
    expect(compared).toBeGreaterThan(100);
  });

  test("where ExifTool has no value we have none, but for what APEX values give", () => {
    const extra: string[] = [];
    for (const answer of answers) {
      const record = records.get(answer.SourceFile ?? "");
      for (const [tag, ourValue] of Object.entries({ ...MAIN_FIELDS, ...OTHER_FIELDS })) {
        if (record === undefined || exifToolSays(answer, tag) !== undefined) continue;
        const field = { FNumber: record.aperture, ExposureTime: record.shutter }[tag];
        const isApex =
          field && "from" in field && / (Aperture|ShutterSpeed)Value$/.test(field.from);
        if (ourValue(record) !== null && !isApex) extra.push(`${answer.SourceFile} ${tag}`);
      }
    }
    expect(extra).toEqual([]);
  });

  test.skipIf(!hasExifTool)(
    `no record holds a serial number, a name or a position that ExifTool finds${exifTool.skipped}`,
    () => {
      const names = ["SerialNumber", "InternalSerialNumber", "LensSerialNumber", "OwnerName"];
      const tags = [...names, "Artist", "GPSLatitude", "GPSLongitude"];
      const files = [...records.keys()];
      const output = execFileSync(
        EXIFTOOL,
        ["-json", "-n", "-q", ...tags.map((tag) => `-${tag}`), ...files],
        { cwd: corpusFile("."), stdio: ["ignore", "pipe", "ignore"] },
      );
      let compared = 0;
      for (const { SourceFile: file, ...secrets } of JSON.parse(output.toString()) as Answer[]) {
        const { notes, ...fields } = records.get(file ?? "") ?? {};
        const shown = Object.values(fields).flatMap((field) =>
          typeof field === "string" ? [] : [String(field.value), field.found ?? ""],
        );
        for (const [tag, secret] of Object.entries(secrets)) {
          if (String(secret).length < 5) continue; // "0" and the like are in every record
          compared += 1;
          expect.soft(shown, `${file} ${tag}`).not.toContain(String(secret));
        }
        if ("GPSLatitude" in secrets && "GPSLongitude" in secrets) {
          expect.soft("locationPresent" in fields && fields.locationPresent.value, file).toBe(true);
        }
      }
      expect(compared).toBeGreaterThan(50);
    },
  );
});

const TAGS: FixtureTag[] = [
  [0x829a, "RATIONAL", [[1, 60]]],
  [0x829d, "RATIONAL", [[56, 10]]],
  [0x8822, "SHORT", [3]],
  [0x8827, "SHORT", [400]],
  [0x8830, "SHORT", [2]],
  [0x9203, "SRATIONAL", [[-150, 100]]],
  [0x9204, "SRATIONAL", [[-2, 3]]],
  [0x9207, "SHORT", [3]],
  [0x9209, "SHORT", [0x19]],
  [0x920a, "RATIONAL", [[853, 40]]],
  [0x9214, "SHORT", [1632, 1224, 320, 384]],
  [0xa001, "SHORT", [65535]],
  [0xa402, "SHORT", [0]],
  [0xa405, "SHORT", [32]],
];
const CAMERA: FixtureTag[] = [
  [0x10f, "ASCII", "Harbour Works"],
  [0x110, "ASCII", "Slip 7"],
  [0x112, "SHORT", [6]],
];
const EXIF = tiffFixture({ ifd0: CAMERA, exif: TAGS });
const XMP = xmpFixture(
  'exif:FNumber="28/10" exif:ExposureTime="1/250" exif:MeteringMode="5" tiff:Orientation="8"',
  `<exif:ISOSpeedRatings><rdf:Seq><rdf:li>125</rdf:li></rdf:Seq></exif:ISOSpeedRatings>
   <exif:ExposureBiasValue>1/3</exif:ExposureBiasValue>`,
);

/** Small files of every container, by name. */
const FIXTURES: Readonly<Record<string, Uint8Array>> = {
  "exif.jpg": jpegFixture(exifSegment(EXIF)),
  "exif.tif": EXIF,
  "big-endian.tif": tiffFixture({ ifd0: CAMERA, exif: TAGS, littleEndian: false }),
  "exif.png": pngFixture(["eXIf", EXIF]),
  "raw-profile.png": pngFixture([
    "zTXt",
    pngText(
      "zTXt",
      "Raw profile type exif",
      rawProfile("exif", Buffer.concat([Buffer.from("Exif\0\0"), EXIF])),
    ),
  ]),
  "exif.webp": webpFixture(["VP8X", new Uint8Array(10)], ["EXIF", EXIF]),
  "exif.heic": heifFixture("heic", { exif: EXIF }),
  "exif.avif": heifFixture("avif", { exif: EXIF }),
  "xmp.jpg": jpegFixture(xmpSegment(XMP)),
  "alone.xmp": Buffer.from(XMP),
  "both.jpg": jpegFixture(exifSegment(tiffFixture({ exif: TAGS.slice(0, 1) })), xmpSegment(XMP)),
  "thumbnail.jpg": jpegFixture(exifSegment(tiffFixture({ exif: TAGS, ifd1: CAMERA }))),
};

const TRUTH_FILE = join(import.meta.dirname, "reference/exif-truth.json");
const ARGUMENTS = ["-json", "-n", "-G1", "-all", "-x", "System:all", "-x", "File:all"];

/** What the installed ExifTool says about the fixtures. */
function askExifTool(): Record<string, Answer> {
  const folder = mkdtempSync(join(tmpdir(), "exif-truth-"));
  try {
    for (const [name, bytes] of Object.entries(FIXTURES)) writeFileSync(join(folder, name), bytes);
    const names = Object.keys(FIXTURES);
    const output = execFileSync(EXIFTOOL, [...ARGUMENTS, ...names], {
      cwd: folder,
      stdio: "pipe",
    });
    const answers = JSON.parse(output.toString()) as (Answer & { SourceFile: string })[];
    return Object.fromEntries(
      answers.map(({ SourceFile, ...answer }) => [SourceFile, wanted(answer)]),
    );
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** The tags that are compared; the others differ between versions of ExifTool. */
function wanted(answer: Answer): Answer {
  const tags = [...Object.keys(MAIN_FIELDS), ...Object.keys(OTHER_FIELDS), "Flash"];
  const isWanted = (key: string) =>
    /^(ExifIFD|IFD0|IFD1|XMP-)/.test(key) && tags.includes(key.slice(key.indexOf(":") + 1));
  return Object.fromEntries(Object.entries(answer).filter(([key]) => isWanted(key)));
}

describe("files written here against ExifTool", () => {
  const { RECORD_EXIF_TRUTH } = process.env;
  if (RECORD_EXIF_TRUTH === "1") {
    const exiftool = execFileSync(EXIFTOOL, ["-ver"]).toString().trim();
    const truth = { exiftool, arguments: ARGUMENTS, answers: askExifTool() };
    writeFileSync(TRUTH_FILE, `${JSON.stringify(truth, null, 2)}\n`);
  }
  const recorded = JSON.parse(readFileSync(TRUTH_FILE, "utf8")).answers as Record<string, Answer>;

  test("every fixture has a recorded answer", () => {
    expect(Object.keys(recorded).sort()).toEqual(Object.keys(FIXTURES).sort());
  });

  test.each(Object.keys(FIXTURES))(
    "%s: every field agrees with the recorded answer",
    async (name) => {
      const record = await readExposure(FIXTURES[name] ?? new Uint8Array());
      const answer = recorded[name] ?? {};
      for (const [tag, ourValue] of Object.entries({ ...MAIN_FIELDS, ...OTHER_FIELDS })) {
        const theirs = exifToolSays(answer, tag) ?? null;
        expect
          .soft(agrees(ourValue(record), theirs), `${tag}: ${ourValue(record)}, ${theirs}`)
          .toBe(true);
      }
    },
  );

  test.skipIf(!hasExifTool)(
    `the installed ExifTool still says what is recorded${exifTool.skipped}`,
    () => {
      const now = askExifTool();
      for (const [name, answer] of Object.entries(recorded)) {
        for (const [tag, value] of Object.entries(answer)) {
          expect.soft(agrees(now[name]?.[tag], value), `${name} ${tag}`).toBe(true);
        }
      }
    },
  );
});

describe.skipIf(!hasCorpus)(`damaged files${skippedBecause}`, () => {
  const MOST_BYTES = 128 * 2 ** 20;

  test("each ends in a record or a clean refusal, in bounded memory", async () => {
    const folder = corpusFile("malformed");
    const files = readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name));
    expect(files.length).toBeGreaterThan(100);
    const before = process.memoryUsage().rss;
    for (const file of files) {
      const outcome = await readExposure(file).catch((error: unknown) => error);
      if (outcome instanceof Error) expect.soft(outcome, file).toBeInstanceOf(ExifError);
    }
    expect(process.memoryUsage().rss - before).toBeLessThan(MOST_BYTES);
  });
});
