import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { devNull, tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import {
  app1,
  box,
  exifSegment,
  extendedXmpSegment,
  heifFixture,
  jpegFixture,
  numbers,
  pngFixture,
  pngText,
  rawProfile,
  webpFixture,
  xmpSegment,
} from "../test/containerFixtures.ts";
import { type FixtureTag, tiffFixture } from "../test/tiffFixture.ts";
import { xmpFixture } from "../test/xmpFixture.ts";
import { readExposure } from "./readExposure.ts";

const F_NUMBER: FixtureTag = [0x829d, "RATIONAL", [[56, 10]]];
const EXIF = tiffFixture({ exif: [F_NUMBER] });
const FROM_EXIF = { value: 5.6, from: "Exif FNumber" };
const XMP = xmpFixture('exif:FNumber="4/1"');
const FROM_XMP = { value: 4, from: "XMP exif:FNumber" };

const codeOf = (character: string): number => character.codePointAt(0) ?? 0;
const ascii = (text: string): Uint8Array => Buffer.from(text, "latin1");
const apertureOf = async (bytes: Uint8Array) => (await readExposure(bytes)).aperture;

describe("readExposure(bytes) finds Exif in", () => {
  test.each<[string, Uint8Array]>([
    ["JPEG", jpegFixture(exifSegment(EXIF))],
    ["JPEG behind stray bytes", jpegFixture(app1("?", ""), ascii("\0\0junk"), exifSegment(EXIF))],
    ["JPEG with fill bytes", jpegFixture(ascii("\xff\xff"), exifSegment(EXIF))],
    ["TIFF", EXIF],
    ["big-endian TIFF", tiffFixture({ exif: [F_NUMBER], littleEndian: false })],
    ["TIFF with Exif tags in its first directory", tiffFixture({ ifd0: [F_NUMBER] })],
    ["PNG eXIf", pngFixture(["eXIf", EXIF])],
    [
      "PNG raw profile",
      pngFixture([
        "zTXt",
        pngText(
          "zTXt",
          "Raw profile type exif",
          rawProfile("exif", Buffer.concat([ascii("Exif\0\0"), EXIF])),
        ),
      ]),
    ],
    [
      "PNG raw profile APP1",
      pngFixture([
        "tEXt",
        pngText(
          "tEXt",
          "Raw profile type APP1",
          rawProfile("generic", Buffer.concat([ascii("Exif\0\0"), EXIF])),
        ),
      ]),
    ],
    ["WebP", webpFixture(["VP8 ", ascii("odd")], ["EXIF", EXIF])],
    [
      "WebP, with the mark of JPEG",
      webpFixture(["EXIF", Buffer.concat([ascii("Exif\0\0"), EXIF])]),
    ],
    ["AVIF", heifFixture("avif", { exif: EXIF })],
    ["HEIC", heifFixture("heic", { exif: EXIF })],
    ["HEIC, inside its table", heifFixture("heic", { exif: EXIF, inIdat: true })],
    [
      "HEIC with Exif of another picture first",
      heifFixture("heic", {
        exif: EXIF,
        otherExif: tiffFixture({ exif: [[0x829d, "RATIONAL", [[2, 1]]]] }),
      }),
    ],
    [
      "JPEG behind a block that holds nothing",
      jpegFixture(exifSegment(new Uint8Array()), exifSegment(EXIF)),
    ],
    ["a bare Exif block", Buffer.concat([ascii("Exif\0\0"), EXIF])],
    [
      "CR3",
      Buffer.concat([
        box("ftyp", ascii("crx \0\0\0\x01crx isom")),
        box(
          "moov",
          box(
            "uuid",
            Buffer.from("85c0b687820f11e08111f4ce462b6a48", "hex"),
            box("CMT2", tiffFixture({ ifd0: [F_NUMBER] })),
          ),
        ),
      ]),
    ],
    [
      "MRW",
      Buffer.concat([
        ascii("\0MRM"),
        numbers([EXIF.length + 8, 4]),
        ascii("\0TTW"),
        numbers([EXIF.length, 4]),
        EXIF,
      ]),
    ],
    [
      "RAF",
      Buffer.concat([
        ascii("FUJIFILMCCD-RAW ".padEnd(84, "\0")),
        numbers([92, 4], [jpegFixture(exifSegment(EXIF)).length, 4]),
        jpegFixture(exifSegment(EXIF)),
      ]),
    ],
  ])("%s", async (_, bytes) => {
    expect(await readExposure(bytes)).toMatchObject({ aperture: FROM_EXIF, notes: [] });
  });
});

test("readExposure(bytes) reads a Panasonic raw file's own tags, then those of its JPEG", async () => {
  const jpeg = jpegFixture(exifSegment(tiffFixture({ exif: [F_NUMBER, [0x9207, "SHORT", [3]]] })));
  const bytes = tiffFixture({
    ifd0: [[0x2e, "UNDEFINED", [...jpeg]]],
    exif: [[0x829d, "RATIONAL", [[8, 1]]]],
  });
  bytes[2] = 0x55; // the mark of these files in place of 42
  expect(await readExposure(bytes)).toMatchObject({
    format: "rw2",
    aperture: { value: 8 },
    meteringPattern: { value: "spot" },
  });
  const bare = tiffFixture({ exif: [F_NUMBER] });
  bare[2] = 0x55;
  expect((await readExposure(bare)).aperture).toEqual(FROM_EXIF);
});

test("readExposure(bytes) reads BigTIFF", async () => {
  const bytes = new Uint8Array(16 + 8 + 20 + 8);
  const view = new DataView(bytes.buffer);
  bytes.set([0x49, 0x49, 43, 0, 8, 0, 0, 0]);
  view.setBigUint64(8, 16n, true); // where the directory is
  view.setBigUint64(16, 1n, true); // entries
  view.setUint16(24, 0x829d, true);
  view.setUint16(26, 5, true);
  view.setBigUint64(28, 1n, true);
  view.setUint32(36, 56, true); // eight bytes fit into the entry
  view.setUint32(40, 10, true);
  expect((await readExposure(bytes)).aperture).toEqual(FROM_EXIF);
  const cut = readExposure(bytes.subarray(0, 12));
  await expect(cut).rejects.toMatchObject({ code: "EXIF_UNKNOWN_FORMAT" });
});

describe("readExposure(bytes) reads item tables", () => {
  const heif = (...boxes: Uint8Array[]): Uint8Array =>
    Buffer.concat([
      box("ftyp", Buffer.from("heic\0\0\0\0")),
      box("meta", numbers([0, 4]), ...boxes),
    ]);
  const item = Buffer.concat([numbers([0, 4]), ascii("Exif\0\0"), EXIF]);

  test("with wide ids and no offsets, the item running to the end of the file", async () => {
    const infe = box("infe", numbers([3 << 24, 4], [7, 4], [0, 2]), ascii("Exif\0"));
    const start = numbers([2 << 24, 4], [0x00, 1], [0x80, 1], [1, 4], [7, 4], [0, 2], [0, 2]);
    const tableOf = (base: number) =>
      heif(
        box("pitm", numbers([1 << 24, 4], [1, 4])),
        box("iinf", numbers([1 << 24, 4], [1, 4]), infe),
        box("iref", numbers([1 << 24, 4]), box("cdsc", numbers([7, 4], [1, 2], [1, 4]))),
        box("iloc", start, numbers([base, 8], [1, 2])),
      );
    const bytes = Buffer.concat([tableOf(tableOf(0).length), item]);
    expect((await readExposure(bytes)).aperture).toEqual(FROM_EXIF);
  });

  test("with wide associations, mirrored", async () => {
    const wide = numbers([(1 << 24) | 1, 4], [1, 4], [1, 4], [1, 1], [0x8001, 2]);
    const properties = box("iprp", box("ipco", box("imir", numbers([0, 1]))), box("ipma", wide));
    const { notes } = await readExposure(heif(box("pitm", numbers([0, 4], [1, 2])), properties));
    expect(notes.map(({ code }) => code)).toContain("container-rotates");
  });

  test("and leaves items of another file alone", async () => {
    const infe = box("infe", numbers([2 << 24, 4], [7, 2], [0, 2]), ascii("Exif\0"));
    const elsewhere = numbers([0, 4], [0x4400, 2], [1, 2], [7, 2], [1, 2], [1, 2], [0, 4], [99, 4]);
    const bytes = heif(box("iinf", numbers([0, 4], [1, 2]), infe), box("iloc", elsewhere));
    expect((await readExposure(bytes)).notes.map(({ code }) => code)).toEqual(["no-metadata"]);
  });
});

test("readExposure(bytes) finds the XMP of a CR3 in a box of 64-bit size, the last of the file", async () => {
  const uuid = Buffer.from("be7acfcb97a942e89c71999491e3afac", "hex");
  const payload = Buffer.concat([uuid, Buffer.from(XMP)]);
  const large = Buffer.concat([numbers([1, 4]), ascii("uuid"), numbers([16 + payload.length, 8])]);
  const open = Buffer.concat([numbers([0, 4]), ascii("free")]);
  const ftyp = box("ftyp", ascii("crx \0\0\0\x01crx isom"));
  const other = box("uuid", new Uint8Array(32));
  const bytes = Buffer.concat([ftyp, other, large, payload, open]);
  expect((await readExposure(bytes)).aperture).toEqual(FROM_XMP);
});

test("readExposure(bytes) leaves an extended packet of more than 2 MiB unread, with a note", async () => {
  const guid = "0123456789ABCDEF0123456789ABCDEF";
  const main = xmpFixture(`xmlns:n="http://ns.adobe.com/xmp/note/" n:HasExtendedXMP="${guid}"`);
  const part = " ".repeat(65_000);
  const parts = Array.from({ length: 34 }, (_, index) =>
    extendedXmpSegment(guid, part, 34 * part.length, index * part.length),
  );
  const { notes } = await readExposure(jpegFixture(xmpSegment(main), ...parts));
  expect(notes.map(({ code }) => code)).toContain("xmp-too-large");
});

test.each([
  ["Fujifilm", ascii("FUJIFILMCCD-RAW 0201".padEnd(200, "\0"))],
  ["Fujifilm, cut off", ascii("FUJIFILMCCD-RAW 0201")],
  ["Minolta", Buffer.concat([ascii("\0MRM\0\0\0\x20"), new Uint8Array(64)])],
])("readExposure(bytes) notes a %s raw file without its metadata block", async (_, bytes) => {
  const { notes } = await readExposure(bytes);
  expect(notes.map(({ code }) => code)).toContain("container-malformed");
});

test("readExposure(bytes) never mixes two Exif blocks of a JPEG", async () => {
  const second = tiffFixture({
    exif: [
      [0x829d, "RATIONAL", [[2, 1]]],
      [0x829a, "RATIONAL", [[1, 60]]],
    ],
  });
  const record = await readExposure(jpegFixture(exifSegment(EXIF), exifSegment(second)));
  expect(record).toMatchObject({ aperture: FROM_EXIF, shutter: { reason: "absent" } });
});

test("readExposure(bytes) takes an Exif item of no bytes for none", async () => {
  const bytes = heifFixture("heic", { xmp: XMP, emptiedExif: true });
  expect(await readExposure(bytes)).toMatchObject({ aperture: FROM_XMP, notes: [] });
});

test("readExposure(bytes) ignores an extended packet of which a part is missing", async () => {
  const guid = "0123456789ABCDEF0123456789ABCDEF";
  const main = xmpFixture(`xmlns:n="http://ns.adobe.com/xmp/note/" n:HasExtendedXMP="${guid}"`);
  const most = XMP.slice(0, XMP.indexOf("</rdf:RDF>"));
  const bytes = jpegFixture(xmpSegment(main), extendedXmpSegment(guid, most, XMP.length, 0));
  const { aperture, notes } = await readExposure(bytes);
  expect(aperture).toMatchObject({ reason: "absent" });
  expect(notes[0]?.code).toBe("xmp-malformed");
});

describe("readExposure(bytes) finds XMP in", () => {
  const extension = XMP.replace("\ufeff", ""); // a byte is a character
  const { length } = extension;
  const half = extension.indexOf("4/1") + 1;
  const guid = "0123456789ABCDEF0123456789ABCDEF";
  test.each<[string, Uint8Array]>([
    ["JPEG", jpegFixture(xmpSegment(XMP))],
    [
      "extended JPEG packets",
      jpegFixture(
        xmpSegment(
          xmpFixture(
            `xmlns:xmpNote="http://ns.adobe.com/xmp/note/" xmpNote:HasExtendedXMP="${guid}"`,
          ),
        ),
        extendedXmpSegment(guid, extension.slice(0, half), length, 0),
        extendedXmpSegment(guid, extension.slice(half), length, half),
      ),
    ],
    [
      "extended JPEG packets out of order, one of them twice",
      jpegFixture(
        xmpSegment(
          xmpFixture(`xmlns:n="http://ns.adobe.com/xmp/note/" n:HasExtendedXMP="${guid}"`),
        ),
        extendedXmpSegment(guid, extension.slice(half), length, half),
        extendedXmpSegment(guid, extension.slice(half), length, half),
        extendedXmpSegment(guid, extension.slice(0, half), length, 0),
      ),
    ],
    ["WebP, in UTF-16", webpFixture(["XMP ", Buffer.from(XMP, "utf16le")])],
    ["WebP, in UTF-16 of big ends", webpFixture(["XMP ", Buffer.from(XMP, "utf16le").swap16()])],
    ["a file of its own, in UTF-32", Buffer.from(Uint32Array.from(XMP, codeOf).buffer)],
    ["TIFF", tiffFixture({ ifd0: [[0x2bc, "BYTE", [...Buffer.from(XMP)]]] })],
    ["PNG", pngFixture(["iTXt", pngText("iTXt", "XML:com.adobe.xmp", XMP)])],
    ["WebP", webpFixture(["XMP ", Buffer.from(XMP)])],
    ["AVIF", heifFixture("avif", { xmp: XMP })],
    ["a file of its own", Buffer.from(XMP)],
  ])("%s", async (_, bytes) => {
    expect(await readExposure(bytes)).toMatchObject({ aperture: FROM_XMP, notes: [] });
  });

  test("a JPEG extension that the main packet does not name is not used", async () => {
    const stray = extendedXmpSegment(guid, XMP, XMP.length, 0);
    expect(await apertureOf(jpegFixture(xmpSegment(xmpFixture("")), stray))).toMatchObject({
      reason: "absent",
    });
  });
});

describe("readExposure(bytes) weighs its sources", () => {
  test("Exif counts before XMP", async () => {
    const record = await readExposure(jpegFixture(exifSegment(EXIF), xmpSegment(XMP)));
    expect(record).toMatchObject({ aperture: FROM_EXIF, notes: [] });
  });

  test("XMP stands in for an unusable Exif value, and a note says so", async () => {
    const blank = tiffFixture({ exif: [[0x829d, "RATIONAL", [[0, 0]]]] });
    const record = await readExposure(jpegFixture(exifSegment(blank), xmpSegment(XMP)));
    expect(record.aperture).toEqual(FROM_XMP);
    expect(record.notes).toEqual([
      {
        code: "value-from-xmp-instead",
        message: expect.stringContaining("aperture is taken from XMP exif:FNumber"),
      },
    ]);
  });

  test("where neither is usable, the reason is that of Exif", async () => {
    const blank = tiffFixture({ exif: [[0x829d, "RATIONAL", [[0, 0]]]] });
    const xmp = xmpFixture('exif:FNumber="0/1"');
    expect(await apertureOf(jpegFixture(exifSegment(blank), xmpSegment(xmp)))).toEqual({
      value: null,
      reason: "zero-denominator",
      found: "0/0",
    });
  });
});

describe("readExposure(bytes) never takes for the picture's", () => {
  test("the tags of the thumbnail", async () => {
    const thumbnail: FixtureTag[] = [F_NUMBER, [0x112, "SHORT", [6]], [0x10f, "ASCII", "Thumb"]];
    const record = await readExposure(jpegFixture(exifSegment(tiffFixture({ ifd1: thumbnail }))));
    expect(record.aperture).toMatchObject({ reason: "absent" });
    expect(record.orientation).toMatchObject({ reason: "absent" });
    expect(record.make).toMatchObject({ reason: "absent" });
  });

  test("the size of a reduced picture in a raw file's first directory", async () => {
    const reduced = tiffFixture({
      ifd0: [
        [0xfe, "LONG", [1]],
        [0x100, "LONG", [160]],
      ],
    });
    expect((await readExposure(reduced)).pixelWidth).toMatchObject({ reason: "absent" });
    const full = tiffFixture({ ifd0: [[0x100, "LONG", [160]]] });
    expect((await readExposure(full)).pixelWidth.value).toBe(160);
  });

  test("a metering code inside a maker note", async () => {
    const note = tiffFixture({ ifd0: [[0x9207, "SHORT", [3]]] });
    const exif = tiffFixture({ exif: [[0x927c, "UNDEFINED", [...note]]] });
    expect((await readExposure(jpegFixture(exifSegment(exif)))).meteringPattern).toMatchObject({
      reason: "absent",
    });
  });
});

describe("readExposure(bytes) tells apart", () => {
  const recorded = (tag: FixtureTag) => readExposure(tiffFixture({ exif: [tag] }));

  test("an unknown brightness and one of -1", async () => {
    const brightness = async (parts: [number, number]) =>
      (await recorded([0x9203, "SRATIONAL", [parts]])).brightnessValue;
    expect(await brightness([-1, 1])).toMatchObject({ reason: "unknown" });
    expect(await brightness([-100, 100])).toMatchObject({ value: -1 });
  });

  test("text where a number belongs, and the reverse", async () => {
    expect((await recorded([0x829d, "ASCII", "f/5.6"])).aperture).toEqual({
      value: null,
      reason: "wrong-type",
      found: "f/5.6",
    });
    const make = tiffFixture({ ifd0: [[0x10f, "SHORT", [7]]] });
    expect((await readExposure(make)).make).toMatchObject({ reason: "wrong-type", found: "7" });
  });

  test("numbers of every width", async () => {
    expect((await recorded([0x829d, "FLOAT", [5.5]])).aperture.value).toBe(5.5);
    expect((await recorded([0x829d, "DOUBLE", [5.6]])).aperture.value).toBe(5.6);
    expect((await recorded([0x9207, "BYTE", [5]])).meteringPattern.value).toBe("multi-segment");
    expect((await recorded([0x8827, "LONG", [102400]])).iso.value).toBe(102400);
  });

  test("a value outside the block, which leaves the other tags readable", async () => {
    const bytes = tiffFixture({
      exif: [F_NUMBER, [0x829a, "RATIONAL", [[1, 60]]], [0x9207, "SHORT", [5]]],
    });
    const cut = bytes.subarray(0, bytes.length - 4); // inside the last long value, FNumber's
    const record = await readExposure(cut);
    expect(record.aperture).toMatchObject({ reason: "beyond-end" });
    expect(record.shutter.value).toBe(1 / 60);
    expect(record.meteringPattern.value).toBe("multi-segment");
    expect(record.notes.map(({ code }) => code)).toEqual(["exif-malformed"]);
  });
});

describe("readExposure(bytes) and privacy", () => {
  const gps: FixtureTag[] = [
    [1, "ASCII", "N"],
    [
      2,
      "RATIONAL",
      [
        [51, 1],
        [7, 1],
        [3333, 100],
      ],
    ],
    [
      4,
      "RATIONAL",
      [
        [4, 1],
        [9, 1],
        [2222, 100],
      ],
    ],
  ];
  const secrets: FixtureTag[] = [
    [0x13b, "ASCII", "SECRET-ARTIST"],
    [0x8298, "ASCII", "SECRET-COPYRIGHT"],
  ];
  const serials: FixtureTag[] = [
    [0xa430, "ASCII", "SECRET-OWNER"],
    [0xa431, "ASCII", "SECRET-BODY-SERIAL"],
    [0xa435, "ASCII", "SECRET-LENS-SERIAL"],
  ];

  test("a position is only told to be present", async () => {
    const record = await readExposure(tiffFixture({ ifd0: secrets, exif: serials, gps }));
    expect(record.locationPresent).toEqual({ value: true, from: "Exif GPS" });
    expect(JSON.stringify(record)).not.toMatch(/SECRET|3333|2222|33\.33|51/);
  });

  test("a GPS directory without a position holds none", async () => {
    const version: FixtureTag[] = [[0, "BYTE", [2, 3, 0, 0]]];
    const record = await readExposure(tiffFixture({ gps: version }));
    expect(record.locationPresent).toEqual({ value: false, from: "Exif GPS" });
    expect((await readExposure(EXIF)).locationPresent).toMatchObject({ reason: "absent" });
  });

  test("a position in XMP is told too", async () => {
    const xmp = xmpFixture('exif:GPSLatitude="51,7.5N" exif:GPSLongitude="4,9.2E"');
    const record = await readExposure(jpegFixture(xmpSegment(xmp)));
    expect(record.locationPresent.value).toBe(true);
    expect(JSON.stringify(record)).not.toMatch(/7\.5N|9\.2E/);
  });

  test("text cannot steer a terminal", async () => {
    const make = tiffFixture({ ifd0: [[0x10f, "ASCII", " Cam\x1b[31mera\x07 \0left over"]] });
    expect((await readExposure(make)).make.value).toBe("Cam[31mera");
  });
});

test("readExposure(bytes) notes that a HEIF container rotates its picture", async () => {
  const rotated = await readExposure(heifFixture("heic", { exif: EXIF, quarterTurns: 3 }));
  expect(rotated.notes.map(({ code }) => code)).toEqual(["container-rotates"]);
});

test("readExposure(bytes) of a picture without metadata is all null, with a note", async () => {
  const { format, notes, ...fields } = await readExposure(jpegFixture());
  expect(format).toBe("jpeg");
  expect(notes.map(({ code }) => code)).toEqual(["no-metadata"]);
  for (const field of Object.values(fields))
    expect(field).toEqual({ value: null, reason: "absent" });
});

test("readExposure(bytes) says of some formats that it does not read their metadata", async () => {
  const { notes } = await readExposure(ascii("GIF89a"));
  expect(notes.map(({ code }) => code)).toEqual(["metadata-not-read"]);
});

test("readExposure(bytes) notes broken XMP and broken Exif, and reads on", async () => {
  const broken = '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF exif:FNumber="4';
  const record = await readExposure(
    jpegFixture(exifSegment(ascii("not TIFF")), xmpSegment(broken)),
  );
  expect(record.notes.map(({ code }) => code)).toContain("exif-malformed");
  expect(record.notes.map(({ code }) => code)).toContain("xmp-malformed");
});

describe("readExposure(path)", () => {
  let folder = "";
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), "exif-reader-"));
  });
  afterAll(() => rm(folder, { recursive: true }));
  const written = async (name: string, bytes: Uint8Array | string): Promise<string> => {
    const path = join(folder, name);
    await writeFile(path, bytes);
    return path;
  };

  test("reads a path and a file: URL alike", async () => {
    const path = await written("both.jpg", jpegFixture(exifSegment(EXIF)));
    expect((await readExposure(path)).aperture).toEqual(FROM_EXIF);
    expect((await readExposure(pathToFileURL(path))).aperture).toEqual(FROM_EXIF);
  });

  test("reads metadata far into a file", async () => {
    const filler = new Uint8Array(300_000);
    const path = await written("late.png", pngFixture(["IDAT", filler], ["eXIf", EXIF]));
    expect((await readExposure(path)).aperture).toEqual(FROM_EXIF);
  });

  test.each(["leaf.xmp", "leaf.jpg.xmp", "leaf.XMP", "leaf.jpg.XMP"])(
    "takes what the picture lacks from its sidecar %s",
    async (sidecar) => {
      const picture = await written("leaf.jpg", jpegFixture(exifSegment(EXIF)));
      const beside = await written(sidecar, xmpFixture('exif:FNumber="2" exif:MeteringMode="3"'));
      const record = await readExposure(picture);
      expect(record.aperture).toEqual(FROM_EXIF);
      expect(record.meteringPattern).toEqual({
        value: "spot",
        from: "sidecar XMP exif:MeteringMode",
      });
      const alone = await readExposure(picture, { sidecar: false });
      expect(alone.meteringPattern).toMatchObject({ reason: "absent" });
      await rm(beside);
    },
  );

  test("notes a sidecar that cannot be read", async () => {
    const picture = await written("odd.jpg", jpegFixture(exifSegment(EXIF)));
    await mkdir(join(folder, "odd.xmp"));
    const record = await readExposure(picture);
    expect(record.aperture).toEqual(FROM_EXIF);
    expect(record.notes.map(({ code }) => code)).toEqual(["sidecar-unreadable"]);
  });

  test.each([
    ["text named as a picture", "EXIF_UNKNOWN_FORMAT", () => written("text.jpg", "not a picture")],
    ["an empty file", "EXIF_EMPTY_FILE", () => written("empty.jpg", "")],
    ["a folder", "EXIF_IS_A_FOLDER", async () => folder],
    ["a path where there is nothing", "EXIF_NO_SUCH_FILE", async () => join(folder, "none.jpg")],
    [
      "a path through a file",
      "EXIF_NO_SUCH_FILE",
      async () => join(await written("f.jpg", "x"), "a.jpg"),
    ],
    ["a path that no system has", "EXIF_CANNOT_READ", async () => "a\0b.jpg"],
    ["a device", "EXIF_CANNOT_READ", async () => devNull],
    ["a web address", "EXIF_CANNOT_READ", async () => new URL("https://example.org/a.jpg")],
    ["no bytes", "EXIF_EMPTY_FILE", async () => new Uint8Array()],
    ["bytes of nothing known", "EXIF_UNKNOWN_FORMAT", async () => ascii("not a picture")],
  ])("refuses %s with %s", async (_, code, source) => {
    const given = await source();
    await expect(readExposure(given)).rejects.toMatchObject({
      name: "ExifError",
      code,
      message: expect.stringMatching(/^Expected .+ for .+ but received .+/),
    });
  });
});
