/**
 * The arithmetic of photographic tone. Pure functions, no I/O, no Node API.
 *
 * @packageDocumentation
 */
export { ToneError, type ToneErrorCode } from "./errors.ts";

// Pixels and the light they stand for
export type { ToneChannel, ToneRaster } from "./raster/toneRaster.ts";
