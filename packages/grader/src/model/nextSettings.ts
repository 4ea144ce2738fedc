import type { Bound } from "@tonefall/tone-core";
import type { Note } from "./note.ts";

/** A step that cameras are set in, in stops. */
export type CameraStep = "third" | "half";

/** A setting that light can be given by. */
export type SettingName = "aperture" | "shutter" | "iso";

/** One way to give the missing light: one setting changed, the other two as they were. */
export interface NextWay {
  /** The one that changes. */
  readonly setting: SettingName;
  /** As recorded: f-number, seconds or ISO; null where the file does not say. */
  readonly from: number | null;
  /** The mark to set: f-number, seconds or ISO; null with a reason where there is none. */
  readonly to: number | null;
  /** Why there is no mark to set: a stable code; null where there is one. */
  readonly reason: "not-recorded" | "not-on-a-marked-scale" | "beyond-marked-scale" | null;
  /** What it costs. */
  readonly costs: readonly Note[];
}

/** What to set next time so that the tone falls where it is placed. */
export interface NextSettings {
  /**
   * Light to add, in the camera's own steps or else in thirds, stops; + is more light. The one figure that card, table and
   * words take; null where the tone is too far off. On a rendering whose curve is not known it may differ from the miss.
   */
  readonly stops: number | null;
  /** Why there is none: beyond 4 stops a picture does not tell the size. */
  readonly reason: "too-far-to-tell" | null;
  /** Bound of the signed `stops` where clipping or black hides the size: either way it is the least. */
  readonly bound: Bound | null;
  /** Steps that the camera is set in, found from its settings; thirds where they do not show it; null where it has none. */
  readonly step: CameraStep | null;
  /**
   * Where the tone would then fall, stops on the row's basis: by nine in ten of the curves that the picture may have come
   * through, and in the same light. Null where clipping or black hides where it fell, and where it is too far off.
   */
  readonly expectedFall: {
    /** The darkest of them. */
    readonly from: number;
    /** The lightest of them. */
    readonly to: number;
  } | null;
  /** Compensation to set in an automatic mode, stops; null in manual, where none is recorded, and too far off. */
  readonly compensation: number | null;
  /** By aperture, by time, by ISO; empty where the tone is too far off. */
  readonly ways: readonly NextWay[];
  /** How far the subject's lightest parts (95th percentile) may rise before they reach the end of the scale. */
  readonly roomBeforeClipping: {
    /** Stops on the row's basis, 0 or more; null where no pixels were measured. */
    readonly stops: number | null;
    /** Why there is none. */
    readonly reason: "no-pixels" | null;
  };
  /** What to keep in mind whichever way is taken. */
  readonly notes: readonly Note[];
}
