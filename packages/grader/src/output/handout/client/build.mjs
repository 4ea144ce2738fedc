// Bundles the hand-in page's own code and style, and packs its decoders, into dist/handout.
import { mkdir, readFile, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";
import { noticesOf, ownNotice } from "./notices.mjs";

const PACKAGE = fileURLToPath(new URL("../../../..", import.meta.url));
const TO = `${PACKAGE}/dist/handout`;

/** @type {import("esbuild").BuildOptions} */
const SHARED = {
  absWorkingDir: PACKAGE,
  bundle: true,
  minify: true,
  charset: "utf8",
  format: "iife",
  target: ["es2022"],
  platform: "browser",
  legalComments: "none",
  logLevel: "warning",
  metafile: true,
  // Decoders ask where their script lies, to look for their WebAssembly beside it; here they are given that.
  logOverride: { "empty-import-meta": "silent" },
};

/**
 * @param {string} name
 * @param {Uint8Array | string} content
 */
async function pack(name, content) {
  await writeFile(`${TO}/${name}.gz`, gzipSync(content, { level: 9 }));
}

/** @param {string} module */
async function packWasm(name, module) {
  await pack(name, await readFile(fileURLToPath(import.meta.resolve(module))));
}

await mkdir(TO, { recursive: true });
const { metafile } = await build({
  ...SHARED,
  entryPoints: [
    { in: "src/output/handout/client/main.ts", out: "handin" },
    { in: "src/output/handout/client/handin.css", out: "handin" },
  ],
  outdir: TO,
});
await packWasm("jpeg.wasm", "@jsquash/jpeg/codec/dec/mozjpeg_dec.wasm");
await packWasm("webp.wasm", "@jsquash/webp/codec/dec/webp_dec.wasm");
const notices = {
  page: [ownNotice(), ...noticesOf(Object.keys(metafile.inputs))],
  heic: await packCodec("heic", "libheif-js/libheif-wasm/libheif.wasm"),
  raw: await packCodec("raw", "libraw-wasm/dist/libraw.wasm"),
};
await writeFile(`${TO}/notices.json`, `${JSON.stringify(notices, null, 2)}\n`);

/**
 * A decoder that starts in a worker of its own: its script, and its WebAssembly.
 *
 * @param {string} name
 * @param {string} wasm
 * @returns whose code it is
 */
async function packCodec(name, wasm) {
  const { outputFiles, metafile } = await build({
    ...SHARED,
    entryPoints: [`src/output/handout/client/${name}Codec.ts`],
    // Compiled for Node too, where they would read files; a page takes that way never.
    external: ["fs", "path", "crypto", "module", "node:*"],
    write: false,
  });
  for (const { contents } of outputFiles) await pack(`${name}.js`, contents);
  await packWasm(`${name}.wasm`, wasm);
  return noticesOf(Object.keys(metafile.inputs));
}
