import { readyBrief } from "../brief/brief.ts";
import { readClaim } from "./readClaim.ts";
import type { ReadyFrame } from "./readySet.ts";
import type { SetPath } from "./relationKinds.ts";
import type { TypedFrame } from "./setFile.ts";
import type { SetReader } from "./setReader.ts";
import { localFile, regionOf } from "./setValues.ts";

/** Reads the frames of a set file with their claims. */
export function readFrames(reader: SetReader): ReadyFrame[] {
  const entries = Object.entries(reader.file.frames);
  if (entries.length === 0)
    reader.refuse(
      "the set has no frames; name one and its file, as in frames: { dark: { file: dark.jpg } }",
      ["frames"],
    );
  // A claim may name a region of any frame, so regions come first.
  for (const [id] of entries) reader.regions.set(id, inherited(id, reader).regions);
  const frames = entries.map(([id, frame]) => readFrame(id, frame, reader));
  requireDistinctFiles(frames, reader);
  return frames;
}

function readFrame(id: string, frame: TypedFrame, reader: SetReader): ReadyFrame {
  const path = ["frames", id];
  const { kit, transfer } = inherited(id, reader);
  const kits = reader.file.kits ?? {};
  return {
    id,
    file: reader.value([...path, "file"], localFile, frame.file),
    kit: kit === undefined ? null : reader.named(kits, kit, "kit", [...path, "kit"]),
    transfer: transfer ?? null,
    pin: reader.file.pins?.[id] ?? null,
    regions: reader.regions.get(id) ?? {},
    claims: (frame.claims ?? []).map((claim, i) =>
      readClaim(claim, id, [...path, "claims", i], reader),
    ),
    at: reader.at(path),
  };
}

/** What a frame may take over from the frames that it is like. */
interface Inherited {
  readonly kit: string | undefined;
  readonly transfer: string | undefined;
  readonly regions: Readonly<Record<string, string>>;
}

/** A frame's kit, transfer and regions; its own come before those of the frames that it is like. */
function inherited(id: string, reader: SetReader): Inherited {
  let found: Inherited = { kit: undefined, transfer: undefined, regions: {} };
  const seen: string[] = [];
  for (let next: string | undefined = id; next !== undefined; ) {
    const path: SetPath = ["frames", seen.at(-1) ?? id, "like"];
    if (seen.includes(next)) {
      const circle = [...seen, next].join(", ");
      reader.refuse(`frames cannot be like each other in a circle: ${circle}`, path);
    }
    const frame: TypedFrame = reader.named(reader.file.frames, next, "frame", path);
    seen.push(next);
    found = {
      kit: found.kit ?? frame.kit,
      transfer: found.transfer ?? readTransfer(frame, next, reader),
      regions: { ...readRegions(frame, next, reader), ...found.regions },
    };
    next = frame.like;
  }
  return found;
}

function readTransfer({ transfer }: TypedFrame, id: string, reader: SetReader): string | undefined {
  if (transfer === undefined) return undefined;
  reader.value(["frames", id, "transfer"], (typed) => readyBrief({ transfer: typed }), transfer);
  return transfer;
}

function readRegions(
  { regions }: TypedFrame,
  id: string,
  reader: SetReader,
): Record<string, string> {
  return Object.fromEntries(
    Object.entries(regions ?? {}).map(([name, region]) => [
      name,
      reader.value(["frames", id, "regions", name], regionOf, region),
    ]),
  );
}

function requireDistinctFiles(frames: readonly ReadyFrame[], reader: SetReader): void {
  const owners = new Map<string, string>();
  for (const { id, file } of frames) {
    const other = owners.get(file);
    if (other !== undefined) {
      reader.refuse(`frames "${other}" and "${id}" are the same file`, ["frames", id, "file"]);
    }
    owners.set(file, id);
  }
}
