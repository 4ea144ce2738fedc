// Compiles the counting kernel to WebAssembly and writes it, as base64, into the source of tone-core. `--check` writes
// nothing, and fails when what is written there is not what the kernel compiles to.
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { main } from "assemblyscript/asc";

const KERNEL = "countPixels.ts";
const WRITTEN = fileURLToPath(new URL("../src/histogram/kernelBytes.ts", import.meta.url));

const text = `// Made by \`npm run kernel\` from kernel/${KERNEL}; not to be edited.

/** The counting kernel: a WebAssembly module, base64. */
export const KERNEL_BYTES: string =
  "${Buffer.from(await compile()).toString("base64")}";
`;
if (!process.argv.includes("--check")) writeFileSync(WRITTEN, text);
else if (readFileSync(WRITTEN, "utf8") !== text) {
  process.stderr.write("kernelBytes.ts is not what the kernel compiles to: run npm run kernel\n");
  process.exitCode = 1;
}

/** @returns {Promise<Uint8Array>} the module */
async function compile() {
  const source = readFileSync(new URL(KERNEL, import.meta.url), "utf8");
  /** @type {Uint8Array} */
  let module = new Uint8Array();
  const { error, stderr } = await main(
    [
      KERNEL,
      ...["--outFile", "kernel.wasm", "-O3", "--noAssert", "--runtime", "stub"],
      // 93 pages of 64 KB: the end of the table of pairs.
      ...["--enable", "simd", "--initialMemory", "93", "--maximumMemory", "93"],
    ],
    {
      readFile: (name) => (name === KERNEL ? source : null),
      writeFile: (_name, contents) => {
        if (typeof contents !== "string") module = contents;
      },
      listFiles: () => [],
    },
  );
  if (error) throw new Error(stderr.toString(), { cause: error });
  return module;
}
