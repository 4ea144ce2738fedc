import type { CountingKernel } from "./countingKernel.ts";
import type { RunningTally } from "./runningTally.ts";

/** Adds the tones that the kernel counted to a tally: their sum, how many they are, and the bins of its four banks. */
export function addTones(kernel: CountingKernel, tally: RunningTally): void {
  tally.sum += Number(kernel.sum.value);
  tally.tonedPixels += kernel.toned.value;
  const { bins } = tally;
  const { buffer } = kernel.memory;
  const bank = kernel.BANK_BYTES.value;
  for (let k = 0; k < 4; k++) {
    const black = new Uint32Array(buffer, k * bank, 1);
    const counts = new Uint32Array(buffer, kernel.BINS.value + k * bank, bins.length - 1);
    bins[0] = (bins[0] as number) + (black[0] as number);
    for (let bin = 1; bin < bins.length; bin++) {
      bins[bin] = (bins[bin] as number) + (counts[bin - 1] as number);
    }
  }
}
