import { DEFAULT_LIMITS } from "../../../picture/decodeLimits.ts";
import type { OpenedRaw } from "../../../picture/raw/libRaw.ts";
import { forbidTextAsCode, startLibRaw } from "../../../picture/raw/libRawBinding.mjs";
import {
  lastFile,
  openedFile,
  openFile,
  UNPROCESSED,
  unpack,
} from "../../../picture/raw/libRawFile.mjs";
import { rawFrame, statedLevels } from "../../../picture/raw/rawFrame.ts";
import { tooLarge } from "../../../picture/tooMuch.ts";
import { codecWorker } from "./codecWorker.ts";

codecWorker(async (bytes, wasm) => {
  // The page allows no text to become code; this worker serves one file and ends.
  forbidTextAsCode();
  await startLibRaw(wasm);
  const stated = statedLevels(opened(bytes));
  const { maxMegapixels } = DEFAULT_LIMITS;
  const unpacked = unpack({ mostSamples: 1e6 * maxMegapixels });
  if (unpacked.stage === "too-large") throw tooLarge(maxMegapixels);
  const frame = rawFrame(unpacked, stated, {});
  return { value: frame, handed: [frame.samples.buffer as ArrayBuffer] };
});

function opened(bytes: Uint8Array): OpenedRaw {
  try {
    openFile(bytes.length, UNPROCESSED, (place: Uint8Array) => {
      place.set(bytes);
      return place;
    });
    return openedFile() as OpenedRaw;
  } catch {
    // C++ exceptions arrive as bare pointers: that it could not be opened is all that can be said.
    return { file: lastFile() ?? bytes, metadata: null };
  }
}
