import type { Exposure } from "../../model/result.ts";
import type { LightProxy } from "./lightCode.ts";

/** What the page's own code needs of a frame for its spot. */
export interface SpotFrame {
  /** As a brief's glob finds it: below the folder of the run, or of its set file. */
  readonly name: string;
  /** The frame's name in its set; null where there is no set. */
  readonly setId: string | null;
  readonly proxy: LightProxy;
  /** In text form; null where the row has none. */
  readonly region: string | null;
  readonly place: string | null;
  readonly fall: { readonly stops: number; readonly bound: "at least" | "at most" | null } | null;
  readonly basis: string | null;
  readonly fromSensor: boolean;
  /** What the camera's own steps are found from; null without a record. */
  readonly settings: Pick<Exposure, "aperture" | "shutter" | "iso" | "compensation"> | null;
}
