import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { isDeepStrictEqual } from "node:util";
import { runInNewContext } from "node:vm";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { jpegFixture } from "../test/containerFixtures.ts";
import { tiffFixture } from "../test/tiffFixture.ts";
import type { ExifErrorCode } from "./index.ts";
import * as exif from "./index.ts";

/**
 * What every export does at its edges: a refusal of a stated code, or a value that its docstring promises. The list is
 * held against the module itself, so that an export without an entry fails.
 */

/** A call at an edge, and what it must come to. */
type Edge = readonly [
  name: string,
  call: () => unknown,
  outcome: ExifErrorCode | { readonly value: unknown },
];

const UNREADABLE = "EXIF_CANNOT_READ";
const MISSING = "EXIF_NO_SUCH_FILE";
const EMPTY = "EXIF_EMPTY_FILE";
const STRANGE = "EXIF_UNKNOWN_FORMAT";

let folder = "";
const inside = (name: string): string => join(folder, name);
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "exif-edges-"));
  await mkdir(inside("folder.jpg"));
  await writeFile(inside("empty.jpg"), "");
  await writeFile(inside("text.jpg"), "not a picture");
  await writeFile(inside("leaf.jpg"), jpegFixture());
});
afterAll(() => rm(folder, { recursive: true }));

/** Neither bytes nor a path nor a URL, whatever the types say. */
const WRONG_SOURCES: readonly (readonly [name: string, source: unknown])[] = [
  ["undefined", undefined],
  ["null", null],
  ["a number", 5],
  ["NaN", Number.NaN],
  ["a boolean", true],
  ["a symbol", Symbol("leaf.jpg")],
  ["a function", () => "leaf.jpg"],
  ["a list of numbers", [0xff, 0xd8, 0xff]],
  ["an object without prototype", Object.create(null)],
  ["an object that looks like a URL", { protocol: "file:", href: "file:///leaf.jpg" }],
  ["a bare buffer", new ArrayBuffer(8)],
  ["a view of it", new DataView(new ArrayBuffer(8))],
  ["16-bit numbers", new Uint16Array(8)],
  ["clamped bytes", new Uint8ClampedArray(8)],
];

const A_BLOB: (typeof WRONG_SOURCES)[number] = [
  "a Blob",
  new Blob([Uint8Array.of(0xff, 0xd8, 0xff)]),
];

function detached(): Uint8Array {
  const bytes = Uint8Array.of(0xff, 0xd8, 0xff, 0xe0);
  structuredClone(bytes.buffer, { transfer: [bytes.buffer] });
  return bytes;
}

function refused(
  call: (source: never) => unknown,
  sources: readonly (readonly [name: string, source: unknown])[],
  code: ExifErrorCode = UNREADABLE,
): Edge[] {
  return sources.map(([name, source]) => [name, () => call(source as never), code]);
}

/** What every walker does at its edges. */
function walkerEdges(walk: (bytes: Uint8Array) => unknown): Edge[] {
  return [
    ...refused(walk, [...WRONG_SOURCES, ["a path", "leaf.jpg"]]),
    ["no bytes", () => walk(new Uint8Array()), { value: [] }],
    ["bytes that were given away", () => walk(detached()), { value: [] }],
    ["a picture of another kind", () => walk(jpegFixture()), { value: [] }],
    ["a megabyte of nothing", () => walk(new Uint8Array(2 ** 20)), { value: [] }],
  ];
}

const JPEG = jpegFixture();

/** What a second reader says of a picture without settings, and of what it cannot read. */
const NO_SETTING = {
  aperture: null,
  shutter: null,
  iso: null,
  compensation: null,
  meteringPattern: null,
};
const UNANSWERED = { reader: "exifr", answers: null } as const;
const LONG_NAME = `${"n".repeat(250)}.jpg`;

const EDGES: Readonly<Record<string, readonly Edge[]>> = {
  readExposure: [
    ...refused(exif.readExposure, WRONG_SOURCES),
    ["no bytes", () => exif.readExposure(new Uint8Array()), EMPTY],
    ["a Blob of nothing", () => exif.readExposure(new Blob([])), EMPTY],
    ["a Blob of text", () => exif.readExposure(new Blob(["not a picture"])), STRANGE],
    [
      "a File of a picture",
      async () => {
        const record = await exif.readExposure(
          new File([JPEG as Uint8Array<ArrayBuffer>], "leaf.jpg"),
        );
        return isDeepStrictEqual(record, await exif.readExposure(JPEG));
      },
      { value: true },
    ],
    ["bytes that were given away", () => exif.readExposure(detached()), EMPTY],
    ["one byte", () => exif.readExposure(Uint8Array.of(0xff)), STRANGE],
    ["text", () => exif.readExposure(new TextEncoder().encode("not a picture")), STRANGE],
    ["no path", () => exif.readExposure(""), MISSING],
    ["a path of nothing", () => exif.readExposure(inside("none.jpg")), MISSING],
    ["a path through a file", () => exif.readExposure(inside("leaf.jpg/more.jpg")), MISSING],
    ["a path with a null", () => exif.readExposure("leaf\0.jpg"), UNREADABLE],
    ["a path longer than any", () => exif.readExposure("x".repeat(1e5)), UNREADABLE],
    ["a folder", () => exif.readExposure(inside("folder.jpg")), "EXIF_IS_A_FOLDER"],
    ["an empty file", () => exif.readExposure(inside("empty.jpg")), EMPTY],
    ["a file of text", () => exif.readExposure(inside("text.jpg")), STRANGE],
    ["a URL of the web", () => exif.readExposure(new URL("https://example.org/a.jpg")), UNREADABLE],
    ["a URL of data", () => exif.readExposure(new URL("data:image/jpeg,")), UNREADABLE],
    [
      "a URL with a hidden slash",
      () => exif.readExposure(new URL("file:///a%2Fb.jpg")),
      UNREADABLE,
    ],
    ["a URL of nothing", () => exif.readExposure(pathToFileURL(inside("none.jpg"))), MISSING],
    ["bytes", async () => (await exif.readExposure(JPEG)).format, { value: "jpeg" }],
    [
      "bytes of another realm",
      async () => (await exif.readExposure(runInNewContext(`Uint8Array.of(${[...JPEG]})`))).format,
      { value: "jpeg" },
    ],
    [
      "bytes that are shared",
      async () => {
        const shared = new Uint8Array(new SharedArrayBuffer(JPEG.length));
        shared.set(JPEG);
        return (await exif.readExposure(shared)).format;
      },
      { value: "jpeg" },
    ],
    [
      "a URL",
      async () => (await exif.readExposure(pathToFileURL(inside("leaf.jpg")))).format,
      { value: "jpeg" },
    ],
  ],
  secondReading: [
    ...refused(exif.secondReading, WRONG_SOURCES),
    ["no bytes", () => exif.secondReading(new Uint8Array()), EMPTY],
    ["a Blob of nothing", () => exif.secondReading(new Blob([])), EMPTY],
    ["a path of nothing", () => exif.secondReading(inside("none.jpg")), MISSING],
    ["a path that looks like an address", () => exif.secondReading("http://x.test/a"), MISSING],
    ["a path that looks like data", () => exif.secondReading("data:image/jpeg;base64,"), MISSING],
    ["a folder", () => exif.secondReading(inside("folder.jpg")), "EXIF_IS_A_FOLDER"],
    ["a URL of the web", () => exif.secondReading(new URL("https://x.test/a.jpg")), UNREADABLE],
    ["text", () => exif.secondReading(inside("text.jpg")), { value: UNANSWERED }],
    [
      "bytes of another realm",
      async () => exif.secondReading(runInNewContext(`Uint8Array.of(${[...JPEG]})`)),
      { value: { reader: "exifr", answers: NO_SETTING } },
    ],
  ],
  compareReadings: [
    [
      "no answers",
      async () => exif.compareReadings(await exif.readExposure(JPEG), UNANSWERED),
      { value: { reader: "exifr", fields: null } },
    ],
    [
      "a setting of 0 against none",
      async () => {
        const answers = { ...NO_SETTING, compensation: 0 };
        const record = await exif.readExposure(JPEG);
        return exif.compareReadings(record, { reader: "exifr", answers }).fields?.compensation
          .agreement;
      },
      { value: "only-second" },
    ],
  ],
  sniffFormat: [
    ...refused(exif.sniffFormat, [...WRONG_SOURCES, A_BLOB, ["a path", "leaf.jpg"]]),
    ["no bytes", () => exif.sniffFormat(new Uint8Array()), { value: null }],
    ["bytes that were given away", () => exif.sniffFormat(detached()), { value: null }],
    ["one byte", () => exif.sniffFormat(Uint8Array.of(0xff)), { value: null }],
    ["a megabyte of nothing", () => exif.sniffFormat(new Uint8Array(2 ** 20)), { value: null }],
    [
      "a megabyte of spaces",
      () => exif.sniffFormat(new Uint8Array(2 ** 20).fill(32)),
      { value: null },
    ],
    [
      "the start of comments without end",
      () => exif.sniffFormat(new TextEncoder().encode("<!--".repeat(1e5))),
      { value: null },
    ],
    [
      "a box of no known brand",
      () => exif.sniffFormat(new TextEncoder().encode("\0\0\0\x10ftypnone\0\0\0\0")),
      { value: null },
    ],
    [
      "three bytes of a JPEG",
      () => exif.sniffFormat(Uint8Array.of(0xff, 0xd8, 0xff)),
      { value: "jpeg" },
    ],
  ],
  embeddedProfile: [
    ...refused(exif.embeddedProfile, [...WRONG_SOURCES, A_BLOB, ["a path", "leaf.jpg"]]),
    ["no bytes", () => exif.embeddedProfile(new Uint8Array()), { value: null }],
    ["bytes that were given away", () => exif.embeddedProfile(detached()), { value: null }],
    ["a picture without one", () => exif.embeddedProfile(JPEG), { value: null }],
  ],
  damagedChunk: [
    ["a type of no letters", () => exif.damagedChunk("").code, { value: "chunk-damaged" }],
    ["a type", () => exif.damagedChunk("iCCP").message.includes("iCCP chunk"), { value: true }],
  ],
  primaryProperties: walkerEdges(exif.primaryProperties),
  pngChunks: walkerEdges(exif.pngChunks),
  tiffDirectories: [
    ...walkerEdges(exif.tiffDirectories),
    [
      "a pointer that is no tag",
      () => exif.tiffDirectories(tiffFixture({}), Number.NaN).length,
      { value: 1 },
    ],
  ],
  sidecarPath: [
    ...refused(exif.sidecarPath, [
      ...WRONG_SOURCES,
      A_BLOB,
      ["bytes", JPEG],
      ["a URL", new URL("file:///leaf.jpg")],
    ]),
    ["no path", () => exif.sidecarPath(""), { value: null }],
    ["a path with a null", () => exif.sidecarPath("leaf\0.jpg"), { value: null }],
    ["a path longer than any", () => exif.sidecarPath("x".repeat(1e5)), { value: null }],
    [
      "a name that has no room for a suffix",
      () => exif.sidecarPath(inside(LONG_NAME)),
      { value: null },
    ],
    ["a path through a file", () => exif.sidecarPath(inside("leaf.jpg/more.jpg")), { value: null }],
    ["a picture without one", () => exif.sidecarPath(inside("leaf.jpg")), { value: null }],
  ],
};

/** What is no function, and has no edges. */
const DATA = ["PICTURE_EXTENSIONS", "RAW_EXTENSIONS", "REASONS"];

test("every export has its edges listed, or is data or a class", () => {
  const listed = [...Object.keys(EDGES), ...DATA, "ExifError"].sort();
  expect(Object.keys(exif).sort()).toEqual(listed);
});

test("data are no functions", () => {
  const kinds = Object.entries(exif).filter(([name]) => DATA.includes(name));
  expect(kinds.filter(([, value]) => typeof value === "function")).toEqual([]);
});

describe.each(Object.entries(EDGES))("%s at its edges", (_, edges) => {
  test.each(edges)("of %s", async (_name, call, outcome) => {
    if (typeof outcome === "string") {
      const error: unknown = await (async () => call())().catch((thrown: unknown) => thrown);
      expect(error).toBeInstanceOf(exif.ExifError);
      expect(error).toMatchObject({ code: outcome });
    } else {
      expect(await call()).toEqual(outcome.value);
    }
  });
});

test("a name that leaves no room for a suffix is read without a note of its sidecar", async () => {
  await writeFile(inside(LONG_NAME), JPEG);
  const { notes } = await exif.readExposure(inside(LONG_NAME));
  expect(notes.map(({ code }) => code)).not.toContain("sidecar-unreadable");
});

/** Beginnings of every kind of file that is recognised by its content. */
const BEGINNINGS = [
  "",
  "\xff\xd8\xff\xe1",
  "\x89PNG\r\n\x1a\n",
  "RIFF\xff\xff\xff\xffWEBP",
  "\0\0\0\x18ftypheic\0\0\0\0",
  "\0\0\0\x18ftypcrx \0\0\0\0",
  "II*\0\x08\0\0\0",
  "MM\0*\0\0\0\x08",
  "IIRO\x08\0\0\0",
  "IIU\0\x08\0\0\0",
  "Exif\0\0II*\0\x08\0\0\0",
  "FUJIFILMCCD-RAW ",
  "\0MRM\0\0\0\x10",
  "<x:xmpmeta ",
  "\xff\xfe<\0",
].map((text) => Uint8Array.from(text, (letter) => letter.charCodeAt(0)));

test("bytes that begin like a picture and go on anyhow give a record or a refusal of the closed list", async () => {
  const tail = fc.oneof(
    fc.uint8Array({ maxLength: 400 }),
    fc
      .tuple(fc.constantFrom(0, 0x7f, 0x80, 0xff), fc.nat(2000))
      .map(([byte, length]) => new Uint8Array(length).fill(byte)),
  );
  await fc.assert(
    fc.asyncProperty(fc.constantFrom(...BEGINNINGS), tail, async (head, rest) => {
      const bytes = Uint8Array.from([...head, ...rest]);
      if (bytes.length > 0) expect((await exif.secondReading(bytes)).reader).toBe("exifr");
      const result: unknown = await exif.readExposure(bytes).catch((error: unknown) => error);
      if (!(result instanceof Error)) return;
      expect(result).toBeInstanceOf(exif.ExifError);
      expect([EMPTY, STRANGE]).toContain((result as exif.ExifError).code);
    }),
    { numRuns: 1500 },
  );
});
