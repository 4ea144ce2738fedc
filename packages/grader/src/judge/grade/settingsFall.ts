import { brightnessResidual } from "@tonefall/tone-core";
import type { Note, NoteCode } from "../../model/note.ts";
import type { Exposure, Fall } from "../../model/result.ts";

/** Where the metered tone fell by the settings alone, or why the settings do not say. */
export type SettingsFall =
  | { readonly fall: Fall; readonly notes: readonly Note[] }
  | { readonly fall: null; readonly notes: readonly Note[] };

/**
 * Where the camera placed what it metered, in stops from middle grey, from metadata alone.
 *
 * With a recorded brightness value it is the exposure given beyond the exposure metered; without one, in an automatic
 * mode, the camera is trusted to have followed its meter, and the metered tone lies at the compensation. Neither says what
 * the tone of the subject was, nor where in the frame the meter looked.
 */
export function settingsFall(exposure: Exposure): SettingsFall {
  const { aperture, shutter, iso, brightnessValue, compensation, flashFired } = exposure;
  if (flashFired.value === true) {
    return none(
      "flash-fired",
      "The flash gave part of the light, so the settings do not describe it.",
    );
  }
  if (isComposite(exposure)) {
    return none(
      "composite",
      "The picture was merged from several exposures, or parts of it were toned separately, so no single set of settings made it.",
    );
  }
  const N = aperture.exact ?? aperture.value;
  const t = shutter.exact ?? shutter.value;
  const S = iso.exact ?? iso.value;
  if (brightnessValue.value !== null && N !== null && t !== null && S !== null) {
    const stops = brightnessResidual(brightnessValue.value, {
      aperture: N,
      shutterSeconds: t,
      iso: S,
    });
    return single(
      stops,
      "settings-by-brightness",
      "The fall is the exposure given beyond what the camera metered.",
    );
  }
  if (isManual(exposure)) {
    return none(
      "manual-without-reading",
      "The exposure is manual and no brightness is recorded, so the settings do not say where the meter stood.",
    );
  }
  if (exposure.mode.value === null && exposure.programme.value === null) {
    return none("mode-unknown", "The file does not say whether the camera set the exposure.");
  }
  if (compensation.value === null) {
    return none(
      "no-compensation",
      "The file records no compensation, so the settings do not say where the metered tone was placed.",
    );
  }
  return single(
    compensation.exact ?? compensation.value,
    "settings-by-compensation",
    "The fall is the compensation that was set, on the assumption that the camera followed its meter.",
  );
}

/** Whether the photographer set aperture and time. */
export function isManual({ mode, programme }: Exposure): boolean {
  return mode.value === "manual" || programme.value === "manual" || programme.value === "bulb";
}

/**
 * Whether the picture was merged from several exposures, or toned by place as phones do: then one part of it was raised
 * against another, and it says nothing about the light on a sensor.
 */
export function isComposite({
  composite,
  customRendered,
}: Pick<Exposure, "composite" | "customRendered">): boolean {
  return (
    composite.value === "general" ||
    composite.value === "captured" ||
    customRendered.value === "other"
  );
}

function single(stops: number, code: NoteCode, message: string): SettingsFall {
  return {
    fall: { stops, median: stops, p5: stops, p95: stops, bound: null },
    notes: [{ code, message }],
  };
}

function none(code: NoteCode, message: string): SettingsFall {
  return { fall: null, notes: [{ code, message }] };
}
