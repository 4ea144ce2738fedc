import { GraderError } from "../model/errors.ts";
import type { Exposure, ReadResult } from "../model/result.ts";
import type { CameraKit } from "./kit.ts";

/** What makes a kit: camera, style and software. */
export type KitIdentity = Required<Pick<CameraKit, "camera" | "style" | "software">>;

/** What kits are compared by, in this order, and the words for it. */
const WORDS = {
  make: "maker",
  model: "model",
  contrast: "contrast",
  saturation: "saturation",
  sharpness: "sharpness",
  pictureMode: "picture mode",
  processing: "special processing",
  software: "software or firmware",
} as const;

type KitTrait = keyof typeof WORDS;

const TRAITS = Object.keys(WORDS) as readonly KitTrait[];

/** The first trait in which a frame differs from a kit. */
export interface KitDifference {
  readonly trait: KitTrait;
  /** Of the kit; null where its frames named none. */
  readonly wanted: string | null;
  /** Of the frame; null where it names none. */
  readonly found: string | null;
}

/** The kit a frame was taken with, as far as its metadata say. */
export function kitIdentity({
  make,
  model,
  contrast,
  saturation,
  sharpness,
  sceneType,
  customRendered,
  software,
}: Exposure): KitIdentity {
  return {
    camera: { make: trimmed(make.value), model: trimmed(model.value) },
    style: {
      contrast: contrast.value,
      saturation: saturation.value,
      sharpness: sharpness.value,
      pictureMode: sceneType.value,
      // A camera that says nothing of special processing used none.
      processing: customRendered.value === "normal" ? null : customRendered.value,
    },
    software: trimmed(software.value),
  };
}

/**
 * In what two kits differ; null where they are one. A key that one side leaves out is not compared.
 *
 * @param wanted - of the kit
 * @param found - of a frame
 */
export function kitDifference(
  wanted: Pick<CameraKit, "camera" | "style" | "software">,
  found: Pick<CameraKit, "camera" | "style" | "software">,
): KitDifference | null {
  const [a, b] = [traitsOf(wanted), traitsOf(found)];
  for (const trait of TRAITS) {
    const [one, other] = [a[trait], b[trait]];
    if (one === undefined || other === undefined || same(one, other)) continue;
    return { trait, wanted: one, found: other };
  }
  return null;
}

/** Whether a frame is of another camera than the kit, not only of another style or software. */
export function isOtherCamera({ trait }: KitDifference): boolean {
  return trait === "make" || trait === "model";
}

/** A difference in words, to follow "the frame has". */
export function differenceText({ trait, wanted, found }: KitDifference): string {
  return `${WORDS[trait]} ${named(found)} instead of ${named(wanted)}`;
}

function traitsOf({
  camera,
  style,
  software,
}: Pick<CameraKit, "camera" | "style" | "software">): Partial<
  Record<KitTrait, string | null | undefined>
> {
  return { ...camera, ...style, software };
}

/**
 * The one kit that all frames were taken with.
 *
 * @throws {@link GraderError} `kit-mixed` when they are of several
 */
export function oneKit(
  rows: readonly (ReadResult & { readonly exposure: Exposure })[],
): KitIdentity {
  const [first, ...others] = rows.map((row) => ({ row, identity: kitIdentity(row.exposure) }));
  if (!first) throw new GraderError("no-frames", "Expected frames of one kit but received none");
  for (const { row, identity } of others) {
    const difference = kitDifference(first.identity, identity);
    if (difference) {
      throw new GraderError(
        "kit-mixed",
        `Expected frames of one camera in one style but ${row.file} has ${differenceText(difference)}; measure each style on its own`,
      );
    }
  }
  return first.identity;
}

/** Sensitivities and latest date of the frames a kit was measured from. */
export function measuredFrom(
  rows: readonly { readonly exposure: Exposure }[],
): Pick<CameraKit, "iso"> & Pick<CameraKit["measured"], "frames" | "on"> {
  const isos = rows.flatMap(({ exposure }) => exposure.iso.value ?? []);
  const dates = rows.flatMap(({ exposure }) => exposure.capturedAt.value?.slice(0, 10) ?? []);
  return {
    iso: isos.length > 0 ? { from: Math.min(...isos), to: Math.max(...isos) } : null,
    frames: rows.length,
    on: dates.sort().at(-1) ?? null,
  };
}

function trimmed(text: string | null): string | null {
  return text?.trim().slice(0, 200) || null;
}

function same(a: string | null, b: string | null): boolean {
  return a?.trim().toLowerCase() === b?.trim().toLowerCase();
}

function named(value: string | null): string {
  return value === null ? "none" : `"${value}"`;
}
