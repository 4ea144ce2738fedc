// A page that grades pictures in the browser, with a decoder of its own choice; nothing leaves the machine.
//   npx esbuild examples/browser/* --bundle --loader:.wasm=binary --loader:.html=copy --outdir=reports/browser
// Then open reports/browser/index.html.

import wasmBinary from "@jsquash/jpeg/codec/dec/mozjpeg_dec.wasm";
import decode, { init } from "@jsquash/jpeg/decode.js";
import { errorText, gradeBytes } from "@tonefall/grader/browser";

// The decoder's WebAssembly is in the bundle, so that the page works from disk.
const ready = init({ wasmBinary, locateFile: (name) => name });

async function jpeg(bytes) {
  await ready;
  return decode(bytes);
}

const input = document.querySelector("input");
const list = document.querySelector("ul");

input.addEventListener("change", async () => {
  for (const file of input.files) {
    const brief = { place: "snow", region: "spot" };
    const row = await gradeBytes(file, brief, { decoders: { jpeg } });
    const item = document.createElement("li");
    item.textContent = row.failure
      ? `${row.file}: ${row.failure.message}`
      : `${row.file}: ${row.verdict}, ${errorText(row.error)}`;
    list.append(item);
  }
});
