import {
  adaptXyz,
  D50,
  inverseMap,
  linearSrgbFromD50,
  parametricTransfer,
  ToneError,
  type ToSrgb,
  type TransferFunction,
  type Triple,
  tabulatedTransfer,
  type Xyz,
} from "@tonefall/tone-core";

/**
 * What an ICC profile says of a picture's codes.
 *
 * `matrix`: three curves and three colorants, which look-up tables reproduce exactly. `grey`: one curve. `engine`: the
 * profile holds multi-dimensional tables (or another colour model) that need a colour management engine.
 */
export type IccProfile =
  | {
      readonly kind: "matrix";
      readonly description: string;
      readonly curves: readonly [TransferFunction, TransferFunction, TransferFunction];
      /** Luminance of the red, green and blue colorants relative to the profile's own white; sums to 1. */
      readonly luminanceRow: readonly [number, number, number];
      /** What the colorants are in linear sRGB. */
      readonly toSrgb: ToSrgb;
    }
  | { readonly kind: "grey"; readonly description: string; readonly curve: TransferFunction }
  | { readonly kind: "engine"; readonly description: string };

/**
 * Reads the matrix or grey part of an ICC profile.
 *
 * Colorants in a profile are adapted to D50. Luminance is taken in the light the picture was made for: the adaptation
 * is undone by the profile's own `chad` matrix or, in older profiles, by the Bradford transform from D50 to the stated
 * media white. So an sRGB picture has the same luminance with its profile as without.
 *
 * @param bytes - the profile as embedded
 * @returns its meaning, or null when the bytes are no usable profile
 * @see [ICC] ICC.1:2022, clauses 7, 8.3, 9.2 and 10
 */
export function readIccProfile(bytes: Uint8Array): IccProfile | null {
  if (bytes.length < 132) return null;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (text(view, 36, 4) !== "acsp") return null;
  const tags = readTags(view);
  const description = readDescription(tags.get("desc")) ?? "unnamed profile";
  const space = text(view, 16, 4);
  const connection = text(view, 20, 4);

  if (space === "GRAY" && connection === "XYZ ") {
    const curve = readCurve(tags.get("kTRC"));
    if (curve) return { kind: "grey", description, curve };
  }
  if (space === "RGB " && connection === "XYZ " && !tags.has("A2B0")) {
    const curves = ["rTRC", "gTRC", "bTRC"].map((name) => readCurve(tags.get(name)));
    const colorants = ["rXYZ", "gXYZ", "bXYZ"].map((name) => readXyz(tags.get(name)));
    const row = luminanceRow(colorants, tags);
    if (row && curves.every((curve) => curve !== null)) {
      const [red, green, blue] = curves as [TransferFunction, TransferFunction, TransferFunction];
      const toSrgb = (colorants as Xyz[]).map(linearSrgbFromD50) as unknown as ToSrgb;
      return { kind: "matrix", description, curves: [red, green, blue], luminanceRow: row, toSrgb };
    }
  }
  return { kind: "engine", description };
}

function readTags(view: DataView): Map<string, DataView> {
  const tags = new Map<string, DataView>();
  const count = Math.min(view.getUint32(128), Math.floor((view.byteLength - 132) / 12));
  for (let i = 0; i < count; i++) {
    const entry = 132 + 12 * i;
    const offset = view.getUint32(entry + 4);
    const size = view.getUint32(entry + 8);
    if (size >= 8 && offset + size <= view.byteLength) {
      tags.set(text(view, entry, 4), new DataView(view.buffer, view.byteOffset + offset, size));
    }
  }
  return tags;
}

function readXyz(tag: DataView | undefined): Xyz | null {
  if (!tag || text(tag, 0, 4) !== "XYZ " || tag.byteLength < 20) return null;
  return [fixed(tag, 8), fixed(tag, 12), fixed(tag, 16)];
}

/** The curve of a `curv` or `para` tag, from encoded to linear in [0, 1]. */
function readCurve(tag: DataView | undefined): TransferFunction | null {
  try {
    return curveOf(tag);
  } catch (error) {
    // A curve that falls, or is not a function at all, is left to an engine.
    if (error instanceof ToneError) return null;
    throw error;
  }
}

function curveOf(tag: DataView | undefined): TransferFunction | null {
  if (!tag || tag.byteLength < 12) return null;
  const type = text(tag, 0, 4);
  if (type === "curv") {
    const count = tag.getUint32(8);
    if (count === 0) return parametricTransfer(0, [1]);
    if (tag.byteLength < 12 + 2 * count) return null;
    if (count === 1) return parametricTransfer(0, [tag.getUint16(12) / 256]);
    return tabulatedTransfer(
      Array.from({ length: count }, (_, i) => tag.getUint16(12 + 2 * i) / 65535),
    );
  }
  if (type === "para") {
    const kind = tag.getUint16(8);
    const count = [1, 3, 4, 5, 7][kind];
    if (count === undefined || tag.byteLength < 12 + 4 * count) return null;
    return parametricTransfer(
      kind,
      Array.from({ length: count }, (_, i) => fixed(tag, 12 + 4 * i)),
    );
  }
  return null;
}

function luminanceRow(
  colorants: readonly (Xyz | null)[],
  tags: ReadonlyMap<string, DataView>,
): [number, number, number] | null {
  const undo = adaptationUndone(tags);
  const ys = colorants.map((colorant) => (colorant ? undo(colorant)[1] : Number.NaN));
  const sum = ys.reduce((total, y) => total + y, 0);
  if (!(sum > 0)) return null;
  return ys.map((y) => y / sum) as [number, number, number];
}

/** Takes a colorant from the profile's D50 back to the white it was made for. */
function adaptationUndone(tags: ReadonlyMap<string, DataView>): (xyz: Xyz) => Xyz {
  const chad = tags.get("chad");
  if (chad && text(chad, 0, 4) === "sf32" && chad.byteLength >= 44) {
    const row = (i: number): Triple => [
      fixed(chad, 8 + 12 * i),
      fixed(chad, 12 + 12 * i),
      fixed(chad, 16 + 12 * i),
    ];
    const undo = inverseMap([row(0), row(1), row(2)]);
    if (undo) return undo;
  }
  const white = readXyz(tags.get("wtpt"));
  if (!white || !(white[1] > 0)) return (xyz) => xyz;
  return (xyz) => adaptXyz(xyz, D50, white);
}

/** The profile's own name: a version 2 `desc` in ASCII, or the first text of a version 4 `mluc`. */
function readDescription(tag: DataView | undefined): string | null {
  if (!tag || tag.byteLength < 12) return null;
  const type = text(tag, 0, 4);
  if (type === "desc") {
    const length = Math.min(tag.getUint32(8), tag.byteLength - 12);
    return clean(text(tag, 12, Math.max(0, length)));
  }
  if (type === "mluc" && tag.byteLength >= 28 && tag.getUint32(8) > 0) {
    const length = tag.getUint32(20);
    const offset = tag.getUint32(24);
    if (offset + length > tag.byteLength) return null;
    const bytes = new Uint8Array(tag.buffer, tag.byteOffset + offset, length);
    return clean(new TextDecoder("utf-16be").decode(bytes));
  }
  return null;
}

/** A name fit for a line of output: control characters are dropped, since a profile is as hostile as any input. */
function clean(name: string): string | null {
  const plain = name.replace(/\p{C}/gu, "").trim().slice(0, 80);
  return plain === "" ? null : plain;
}

function fixed(view: DataView, at: number): number {
  return view.getInt32(at) / 65536;
}

function text(view: DataView, at: number, length: number): string {
  let characters = "";
  for (let i = 0; i < length; i++) characters += String.fromCharCode(view.getUint8(at + i));
  return characters;
}
