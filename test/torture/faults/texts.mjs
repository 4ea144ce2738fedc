import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import sharp from "sharp";
import { parsePlacement, parseRegion, parseStops } from "../../../packages/tone-core/dist/index.js";
import { endedWell, tonefall } from "../command.mjs";
import { victim } from "../sendTo.mjs";

const FULL_WIDTH = ["\uFF1D", "\uFF0B", "\uFF0D", "\uFF20"];
const FORMULA = /^[=+\-@\t\r\n\uFF1D\uFF0B\uFF0D\uFF20]/;
const NUMBER = /^-?\d+(\.\d+)?(e[+-]?\d+)?$/i;

/** Controls other than a line's end, and what turns the direction of text. */
const UNSAFE = /[^\P{Cc}\n\r]|[\p{Cf}\p{Zl}\p{Zp}]/u;

/**
 * Names and captions that are programs, or move a terminal's cursor.
 *
 * @type {readonly import("../trial.mjs").Fault[]}
 */
export const textFaults = [
  {
    slow: true,
    name: "names and makes that a spreadsheet would run",
    promise: "no cell of any CSV begins a formula, in any column of any command",
    run: async ({ folder }) => {
      const starts = ["=", "+", "-", "@", "\t", "\r", ...FULL_WIDTH];
      const formula = "HYPERLINK(0)";
      for (const start of starts) {
        await hostilePicture(folder, `${start}${formula}.jpg`, `${start}${formula}`);
      }
      const brief = join(folder, "brief.yaml");
      await writeFile(brief, '"**": { place: 0, region: "spot" }\n');
      const runs = [
        ["grade", "--voice", "student", "--brief", brief],
        ["grade", "--basis", "settings", "-p", "0"],
        ["meter"],
        ["read"],
      ];
      const bad = [];
      let cells = 0;
      // Names without a folder before them, as a person in the folder types them.
      const names = starts.map((start) => `${start}${formula}.jpg`);
      for (const words of [...runs.map((run) => [...run, "--", ...names]), ["tones"]]) {
        const run = await tonefall([words[0], "-f", "csv", ...words.slice(1)], { cwd: folder });
        if (!endedWell(run))
          bad.push(`${words[0]} ended with ${run.code}: ${run.stderr.slice(0, 200)}`);
        const rows = parse(run.stdout);
        if (words[0] !== "tones" && rows.length <= names.length)
          bad.push(`${words[0]}: rows are missing`);
        for (const cell of rows.flat()) {
          cells++;
          if (FORMULA.test(cell) && !NUMBER.test(cell)) bad.push(JSON.stringify(cell));
        }
      }
      return {
        held: bad.length === 0,
        what: `${cells} cells, ${bad.length} begin a formula`,
        broken: bad,
      };
    },
  },
  {
    name: "names and makes that move a terminal's cursor",
    promise: "no control or direction-changing character on stdout or stderr, in any format",
    run: async ({ folder, short }) => {
      const hostile = "\u001b[2J\u001b]0;title\u0007 \u202egpj\u2066\u0007\u009b1m";
      await hostilePicture(folder, `${hostile}.jpg`, hostile);
      await writeFile(join(folder, `${hostile}2.jpg`), "no picture");
      await mkdir(join(folder, "nothing", hostile), { recursive: true });
      const bad = [];
      const runs = [
        ...["table", "csv", "markdown", "json", "ndjson"].flatMap((format) =>
          ["grade", "meter", "read"].map((command) => [command, ".", "-f", format]),
        ),
        ["grade", join("nothing", hostile)],
        ["grade", ".", "--brief", `${hostile}.yaml`],
        ["grade", ".", "-p", hostile],
        ["grade", `--${hostile}`],
        ["check", `${hostile}.yaml`],
        ["kit", "card", `${hostile}2.jpg`, "-o", "kit.json"],
        ["new-set", "."],
      ];
      const tried = short ? runs.filter((_, index) => index % 9 === 0) : runs;
      for (const words of tried) {
        const run = await tonefall(words, { cwd: folder });
        if (!endedWell(run)) bad.push(`${words.join(" ")} ended with ${run.code}`);
        for (const text of [run.stdout, run.stderr]) {
          const at = text.search(UNSAFE);
          if (at >= 0)
            bad.push(JSON.stringify(`${words[0]}: ${text.slice(Math.max(0, at - 20), at + 9)}`));
        }
      }
      return {
        held: bad.length === 0,
        what: `${tried.length} runs, ${bad.length} unsafe`,
        broken: bad,
      };
    },
  },
  {
    name: "YAML that blows up, as brief, set and kit",
    promise:
      "taken, or refused in one line and one to write instead, each within 10 s and 500 MB; no prototype changed",
    run: async ({ folder, keep }) => {
      const { read, end, peak } = victim({
        timeLimitSeconds: 10,
        execArgv: ["--max-old-space-size=500"],
      });
      const texts = Object.entries(yamlBombs());
      const file = join(folder, "file.yaml");
      const bad = [];
      for (const [name, text] of texts) {
        await writeFile(file, text);
        const { broken } = await read(file);
        if (!broken) continue;
        bad.push(`${name}: ${broken}`);
        await keep(`${name}.yaml`, Buffer.from(text));
      }
      end();
      const memory = `peak ${Math.round(peak.rss / 1e6)} MB`;
      return { held: bad.length === 0, what: `${texts.length} files, ${memory}`, broken: bad };
    },
  },
  {
    name: "regions and messages without end, in the tables of every command",
    promise:
      "each run ends within 30 s, by an exit code that is documented, its message of a sane length",
    run: async ({ folder }) => {
      const bad = [];
      const file = join(folder, "brief.yaml");
      await hostilePicture(folder, "a.jpg", "a");
      const texts = [
        ...[10, 1000, 20_000].map((n) => `polygon:${"0.0001,0.0001 ".repeat(n).trim()}`),
        ...["x", "0.1 ", "polygon:", "é"].map((text) => text.repeat(200_000 / text.length)),
      ];
      for (const key of ["region", "place", "tolerance", "basis"]) {
        for (const text of texts) {
          await writeFile(file, `"**": { ${key}: "${text}" }\n`);
          const words = ["grade", join(folder, "a.jpg"), "--brief", file, "--no-cache"];
          const run = await tonefall(words, { timeout: 30_000 });
          const shown = `${key} ${text.slice(0, 20)} of ${text.length}`;
          if (!endedWell(run)) bad.push(`${shown} ended with ${run.code ?? run.signal}`);
          const length = run.stdout.length + run.stderr.length;
          if (length > 10_000) bad.push(`${shown} is told in ${length} characters`);
        }
      }
      return { held: bad.length === 0, what: `${4 * texts.length} runs`, broken: bad };
    },
  },
  {
    name: "texts made to keep a pattern busy",
    promise: "the time to read a text grows no faster than its length, by ratio",
    run: async () => {
      const worst = growths()
        .map(([name, read, text]) => ({ name, exponent: exponentOf(read, text) }))
        .sort((a, b) => b.exponent - a.exponent);
      const [{ name, exponent }] = worst;
      const what = `${worst.length} texts; the worst grows as length to the power of ${exponent.toFixed(2)} (${name})`;
      return { held: exponent <= MOST_EXPONENT, what };
    },
  },
];

/**
 * @param {string} folder
 * @param {string} name
 * @param {string} text
 */
async function hostilePicture(folder, name, text) {
  const background = { r: 118, g: 118, b: 118 };
  const picture = sharp({ create: { width: 64, height: 48, channels: 3, background } });
  await picture
    .withExif({
      IFD0: { Make: text, Model: text, Software: text },
      IFD2: {
        FNumber: "56/10",
        ExposureTime: "1/125",
        ISOSpeedRatings: "400",
        ExposureBiasValue: "-2/3",
      },
    })
    .jpeg()
    .toFile(join(folder, name))
    .catch(async () => writeFile(join(folder, name), await picture.jpeg().toBuffer()));
}

function yamlBombs() {
  const laughs = Array.from({ length: 9 }, (_, i) => {
    const before =
      i === 0
        ? '"lol"'
        : Array(9)
            .fill(`*a${i - 1}`)
            .join(", ");
    return `a${i}: &a${i} [${before}]`;
  }).join("\n");
  return {
    "aliases of aliases": laughs,
    "an alias of itself": "a: &a [*a]",
    "merged aliases": `${laughs}\n<<: *a8`,
    "100,000 brackets": "[".repeat(100_000),
    "100,000 braces": "{a: ".repeat(60_000),
    "100,000 indicators": "- ".repeat(100_000),
    "deep indentation": Array.from({ length: 300 }, (_, i) => `${" ".repeat(i)}a:`).join("\n"),
    "a scalar of 200,000 characters": `a: ${"x".repeat(200_000)}`,
    "a file over 256 kB": `a: ${"x".repeat(300_000)}`,
    "20,000 keys": Array.from({ length: 20_000 }, (_, i) => `k${i}: 1`).join("\n"),
    "a key twice": "a: { place: 0 }\na: { place: 1 }",
    "a tag of a program": "a: !!js/function 'function () { return 1 }'",
    "a tag of a program's value": 'a: { place: !!js/regexp "/(a+)+$/" }',
    "__proto__ as key": '__proto__: { place: "snow", polluted: 1 }',
    "constructor within": "a: { constructor: { prototype: { polluted: 1 } } }",
    "__proto__ within": 'a: { __proto__: { place: 9 }, "__proto__": { x: 1 } }',
    "a number past all numbers": "a: { place: 1e999 }",
    "not a number": "a: { place: .nan }",
    "a glob of many stars": `"${"*a".repeat(2000)}": { place: 5, x: 1 }`,
    "many braces in a glob": `"${"{a,b}".repeat(2000)}": { place: 5, x: 1 }`,
    "bytes that are no text": Buffer.from(Array.from({ length: 999 }, (_, i) => (i * 73) % 256)),
    nothing: "",
    "a document's end": "---\n...\n---\na: 1",
  };
}

/** Quadratic growth would show as 2. */
const MOST_EXPONENT = 1.6;
const LENGTH = 5_000;

/**
 * Readers of one line, with texts that a pattern with a choice too many would go over again and again.
 *
 * @returns {[name: string, read: (text: string) => unknown, text: (n: number) => string][]}
 */
function growths() {
  const readers = { parseStops, parsePlacement, parseRegion };
  /** @type {Record<string, (n: number) => string>} */
  const texts = {
    digits: (n) => `${"1".repeat(n)}x`,
    spaces: (n) => `1${" ".repeat(n)}x`,
    "spaces and digits": (n) => `${"1 ".repeat(n / 2)}x`,
    "points and digits": (n) => `${"1.".repeat(n / 2)}x`,
    slashes: (n) => `${"1/".repeat(n / 2)}x`,
    signs: (n) => `${"+-".repeat(n / 2)}1`,
    dots: (n) => `1${".".repeat(n)}2`,
    commas: (n) => `polygon:${"0.1,0.1 ".repeat(n / 8)}x`,
    letters: (n) => `${"V".repeat(n)}x`,
  };
  return Object.entries(readers).flatMap(([reader, read]) =>
    Object.entries(texts).map(
      /** @returns {[string, (text: string) => unknown, (n: number) => string]} */
      ([text, of]) => [`${reader} of ${text}`, read, of],
    ),
  );
}

/**
 * How reading time grows between a text and one eight times as long, as a power of its length.
 *
 * @param {(text: string) => unknown} read
 * @param {(n: number) => string} text
 */
function exponentOf(read, text) {
  const [short, long] = [LENGTH, 8 * LENGTH].map((length) => {
    const sample = text(length);
    const times = Array.from({ length: 3 }, () => {
      const before = process.cpuUsage();
      for (let i = 0; i < 10; i++) attempt(() => read(sample));
      const { user, system } = process.cpuUsage(before);
      return user + system;
    });
    return Math.max(Math.min(...times), 1000);
  });
  return Math.log2(long / short) / 3;
}

/** @param {() => unknown} read */
function attempt(read) {
  try {
    read();
  } catch {
    // A refusal is what most of these come to; only its time matters.
  }
}
