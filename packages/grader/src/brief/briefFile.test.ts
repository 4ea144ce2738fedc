import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { readBriefFile } from "./briefFile.ts";

let folder: string;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "briefs-"));
});

afterAll(async () => {
  await rm(folder, { recursive: true });
});

async function refusalOf(text: string): Promise<string> {
  const path = join(folder, "brief.yaml");
  await writeFile(path, text);
  try {
    await readBriefFile(path);
  } catch (error) {
    return (error as Error).message.replace(`${path}:`, "");
  }
  throw new Error(`Expected a refusal of ${text}`);
}

/** Slips that people make by hand, each with where it stands and the line as it was meant. */
const SLIPS: readonly (readonly [slip: string, text: string, at: string, mended: string])[] = [
  [
    "a region in braces without quotes",
    '"**": { place: tar, region: box:0.1,0.2,0.3,0.4 }',
    "1:29",
    '"**": { place: tar, region: "box:0.1,0.2,0.3,0.4" }',
  ],
  ["a glob without quotes", "**: { place: tar }", "1:1", '"**": { place: tar }'],
  ["a glob with a name", "*.jpg: { place: tar }", "1:1", '"*.jpg": { place: tar }'],
  ["a tab", '"**":\n\tplace: tar', "2:1", "place: tar"],
  ["quotation marks of a word processor", "“**”: { place: [tar }", "1:1", '"**": { place: [tar }'],
  ["a brace left open", '"**": { place: tar', "1:7", '"**": { place: tar }'],
  ["a key after a key", '"**": place: tar', "1:7", '"**": { place: tar }'],
  ["a glob without its colon", '"**" {place: tar}', "1:5", '"**": {place: tar}'],
  ["a brace right after the colon", '"**":{place: tar}', "1:5", '"**": {place: tar}'],
  ["a colon without a space", '"**": {place:tar}', "1:8", '"**": {place: tar}'],
  ["a brief without its glob", "place: tar", "1:1", '"**": { place: tar }'],
  [
    "a brief without its glob, and what its values mean",
    '{ place: "+0,7", tolerance: half a stop }',
    "1:1",
    '"**": { place: "+0.7", tolerance: 1/2 }',
  ],
  ["a fraction in words", '"**": { place: two thirds of a stop }', "1:16", '"**": { place: 2/3 }'],
  ["a unit", '"**": { place: +1 EV }', "1:16", '"**": { place: "+1" }'],
  ["a reflectance without its sign", '"**": { place: 18 }', "1:16", '"**": { place: 18% }'],
  ["a range with a hyphen", '"**": { place: 1.5-2 }', "1:16", '"**": { place: 1.5..2 }'],
  ["a decimal comma", '"**": { tolerance: "0,3" }', "1:20", '"**": { tolerance: "0.3" }'],
  [
    "per cents for fractions",
    '"**": { region: "box:10,20,30,40" }',
    "1:17",
    '"**": { region: "box:0.1,0.2,0.3,0.4" }',
  ],
  ["a spelling", '"**": { region: center }', "1:17", '"**": { region: spot }'],
  ["a basis cut short", '"**": { basis: render }', "1:16", '"**": { basis: rendered }'],
];

describe("readBriefFile", () => {
  test.each(SLIPS)("shows the mended line for %s", async (_slip, text, at, mended) => {
    const message = await refusalOf(text);
    expect(message).toMatch(new RegExp(`^${at}: `));
    expect(message.split("\nWrite: ")[1]).toBe(mended);
  });

  test.each(SLIPS.filter(([slip]) => !slip.startsWith("quotation")))(
    "reads the line that it proposes for %s",
    async (_slip, text, at, mended) => {
      const lines = text.split("\n");
      const line = Number(at.split(":")[0]) - 1;
      const indent = /^\s*/.exec(lines[line] as string)?.[0].replaceAll("\t", "  ") ?? "";
      const path = join(folder, "mended.yaml");
      await writeFile(path, lines.with(line, indent + mended).join("\n"));
      await expect(readBriefFile(path)).resolves.toBeDefined();
    },
  );

  test.each([
    ["half of a tone's name", '"**": { place: white }', /1:16: .*"white-paper", "white-cloth"/],
    ["a key of another name", '"**": { placement: tar }', /1:9: .*did you mean "place"\?/],
    ["a region of the wrong kind", '"**": { region: [0.1, 0.2] }', /1:17: .*holds a list/],
    ["a mapping for a tone", '"**": { place: { tar: 1 } }', /1:16: .*holds a group/],
    ["a key twice", '"**": { place: 1 }\n"**": { place: 2 }', /2:1: .*twice/],
    ["nothing", "# to do\n", /has no entries; tonefall new-brief writes a first one/],
    ["a sentence", "hello", /holds "hello", but a group of "key: value" pairs \(globs/],
    ["two documents", '"a": {}\n---\n"b": {}', /2:1: a second document begins after ---/],
    ["a line without a colon", '"**": { place: tar }\nsnow', /2:1: a colon, comma, .* is missing/],
    ["a quotation mark left open", '"*.jpg: tar', /1:12: .* quotation mark is missing/],
    ["a key too far right", '"**":\n  place: tar\n   region: spot', /2:10: .*indented too far/],
    ["a key that is a list", "? [a]\n: { place: tar }", /1:3: the key is not plain text/],
    ["a value that looks like an alias", '"**": { place: *snow }', /\*snow refers to nothing/],
  ])("says what stands there and what belongs there: %s", async (_what, text, message) => {
    expect(await refusalOf(text)).toMatch(message);
  });
});

test("a tag changes nothing of a text", async () => {
  const path = join(folder, "tagged.yaml");
  await writeFile(path, '"**": { place: !!binary tar }');
  expect((await readBriefFile(path)).entries).toEqual([["**", { place: "tar" }]]);
});

describe("a brief file as it is saved", () => {
  async function read(bytes: Uint8Array): Promise<readonly string[]> {
    const path = join(folder, "saved.yaml");
    await writeFile(path, bytes);
    return (await readBriefFile(path)).entries.map(([glob]) => glob);
  }

  test.each([
    ["UTF-8 with its mark", Buffer.from('\uFEFF"é.jpg": { place: tar }\r\n', "utf8")],
    ["UTF-16, low byte first", Buffer.from('\uFEFF"é.jpg": { place: tar }\r\n', "utf16le")],
    ["UTF-16, high byte first", Buffer.from('\uFEFF"é.jpg": { place: tar }', "utf16le").swap16()],
  ])("is read from %s", async (_, bytes) => {
    expect(await read(bytes)).toEqual(["é.jpg"]);
  });

  test.each([
    ["a picture", Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 4, 0x7b]), "is a picture (JPEG)"],
    ["an older encoding", Buffer.from('"é.jpg": { place: tar }', "latin1"), "not UTF-8 text"],
    ["noise", Buffer.from([0x80, 0x81, 0x00, 0x7b]), "not UTF-8 text"],
  ])("is refused in a sentence where it is %s", async (_, bytes, why) => {
    await expect(read(bytes)).rejects.toThrow(why);
  });
});

describe("a glob", () => {
  async function placedBy(glob: string, name: string): Promise<unknown> {
    const path = join(folder, "names.yaml");
    await writeFile(path, JSON.stringify({ [glob]: { place: "tar" } }));
    return (await readBriefFile(path)).briefFor(join(folder, name), folder).place;
  }

  test.each([
    ["capital letters", "dark-*.jpg", "DARK-1.JPG"],
    ["an accent that the file system keeps apart", "\u00E9t\u00E9.jpg", "e\u0301te\u0301.jpg"],
    ["an accent that the brief keeps apart", "e\u0301/*.jpg", "\u00E9/1.jpg"],
  ])("matches a name in spite of %s", async (_, glob, name) => {
    expect(await placedBy(glob, name)).toBe("tar");
  });

  test("does not match another name", async () => {
    expect(await placedBy("dark-*.jpg", "LIGHT-1.JPG")).toBeUndefined();
  });
});
