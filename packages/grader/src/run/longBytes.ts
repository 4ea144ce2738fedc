/**
 * Bytes of files from which starting processes pays. Measured on two processors, where the command gains from 40 MB, and a
 * program that has loaded its decoders from 80.
 */
export const LONG_BYTES = 64e6;

/** Bytes from which it pays on any machine: there, no frame is graded in the process of the run. */
export const SURELY_LONG_BYTES: number = 4 * LONG_BYTES;
