import { builtinModules, createRequire } from "node:module";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import sharp, { type Sharp } from "sharp";
import { beforeAll, describe, expect, test } from "vitest";
import type * as Browser from "./browser.ts";
import { gradeFrame } from "./run/gradeFrame.ts";

const pathOf = (file: string): string => fileURLToPath(new URL(file, import.meta.url));

const ENTRIES = {
  "@tonefall/grader/browser": pathOf("./browser.ts"),
  "@tonefall/exif-reader": pathOf("../../exif-reader/src/index.ts"),
};

/** Bundles as esbuild does for browsers: what it cannot find there is an error. */
async function byEsbuild(entry: string): Promise<string> {
  const { outputFiles } = await build({
    entryPoints: [entry],
    conditions: ["@tonefall/source"],
    bundle: true,
    write: false,
    format: "esm",
    platform: "browser",
    logLevel: "silent",
  });
  return outputFiles[0]?.text ?? "";
}

/** Bundles as vite does for browsers; it puts a stand-in for what Node alone has, and names it. */
async function byVite(entry: string): Promise<string> {
  const vitest = createRequire(import.meta.resolve("vitest/package.json"));
  const vite = (await import(vitest.resolve("vite"))) as {
    build(options: object): Promise<{ output: readonly { code?: string }[] }[]>;
  };
  const [{ output } = { output: [] }] = await vite.build({
    configFile: false,
    logLevel: "silent",
    resolve: { conditions: ["@tonefall/source", "browser", "module"] },
    build: {
      write: false,
      minify: false,
      lib: { entry, formats: ["es"], fileName: "bundle" },
    },
  });
  return output.map(({ code = "" }) => code).join("\n");
}

const OF_NODE = new RegExp(
  `__vite-browser-external|(?:from|import|require)\\s*\\(?\\s*["'](?:node:[\\w/]+|${builtinModules
    .filter((name) => /^\w+$/.test(name))
    .join("|")})["']`,
);

describe.each([
  ["esbuild", byEsbuild],
  ["vite", byVite],
] as const)("bundled by %s, with no shim,", (_tool, bundle) => {
  test.each(Object.entries(ENTRIES))("%s asks nothing of Node", async (_name, entry) => {
    const code = await bundle(entry);
    expect(code.length).toBeGreaterThan(10_000);
    expect(OF_NODE.exec(code)?.[0]).toBeUndefined();
  });
});

test("the pattern finds what it looks for", () => {
  for (const code of ['import a from "node:fs"', 'require("path")', "__vite-browser-external"]) {
    expect(OF_NODE.test(code), code).toBe(true);
  }
  expect(OF_NODE.test('const buffer = new ArrayBuffer(8); import a from "./path.js"')).toBe(false);
});

describe("the bundle itself", () => {
  let bundled: typeof Browser;
  beforeAll(async () => {
    const code = await byEsbuild(ENTRIES["@tonefall/grader/browser"]);
    bundled = await import(`data:text/javascript;base64,${Buffer.from(code).toString("base64")}`);
  });

  /** Stands in for a page's decoder: stored codes with an alpha sample, as `ImageData` has them. */
  const decode: Browser.PictureDecoder = async (file) => {
    const { data, info } = await sharp(file, { ignoreIcc: true })
      .ensureAlpha()
      .raw()
      .toBuffer({ resolveWithObject: true });
    return { width: info.width, height: info.height, data: new Uint8ClampedArray(data) };
  };

  const noise = Uint8Array.from({ length: 3 * 90 * 60 }, (_, i) => (i * 7919) % 241);
  const picture = (): Sharp => sharp(noise, { raw: { width: 90, height: 60, channels: 3 } });
  const exif = { IFD0: { Model: "Test camera" }, IFD2: { FNumber: "8/1", ExposureTime: "1/60" } };

  test.each([
    ["a JPEG", () => picture().withExif(exif).jpeg().toBuffer()],
    ["a JPEG turned by Exif", () => picture().withMetadata({ orientation: 6 }).jpeg().toBuffer()],
    ["a grey JPEG", () => picture().toColourspace("b-w").jpeg().toBuffer()],
    ["a JPEG with a profile", () => picture().withIccProfile("p3").jpeg().toBuffer()],
  ])("gives the whole row of gradeFrame for %s", async (_what, make) => {
    const bytes = new Uint8Array(await make());
    const brief = { place: "snow", region: "box:0.1,0.2,0.5,0.6" };
    const row = await bundled.gradeBytes(bytes, brief, {
      decoders: { jpeg: decode },
      voice: "student",
    });
    expect(row).toEqual(await gradeFrame(bytes, brief, { voice: "student" }));
    expect(row.verdict).not.toBeNull();
  });

  test("takes a File with its name, and says what is missing or wrong", async () => {
    const bytes = new Uint8Array(await picture().jpeg().toBuffer());
    const decoders = { jpeg: decode };
    const named = await bundled.gradeBytes(new File([bytes], "leaf.jpg"), {}, { decoders });
    expect(named.file).toBe("leaf.jpg");
    expect(named.fall).not.toBeNull();
    const codes = await Promise.all([
      bundled.gradeBytes(new Blob([]), {}, { decoders }),
      bundled.gradeBytes(new Blob(["words"]), {}, { decoders }),
      bundled.gradeBytes(bytes, {}, { decoders: {} }),
      bundled.gradeBytes(bytes, {}, { decoders, maxMegapixels: 0.001 }),
      bundled.gradeBytes(bytes, {}, { decoders: { jpeg: () => Promise.reject(new Error("?")) } }),
      bundled.gradeBytes(await picture().toColourspace("cmyk").jpeg().toBuffer(), {}, { decoders }),
    ]);
    expect(codes.map(({ failure }) => failure?.code)).toEqual([
      "empty-file",
      "not-a-picture",
      "unsupported-format",
      "too-large",
      "decode-failed",
      "unsupported-colour",
    ]);
    await expect(bundled.gradeBytes(bytes, { place: "?" }, { decoders })).rejects.toThrow(
      /Expected/,
    );
  });
});
