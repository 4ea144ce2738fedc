import { availableParallelism } from "node:os";
import { join } from "node:path";
import pMap from "p-map";
import type { NamedKit } from "../kit/kit.ts";
import { readKitFile } from "../kit/kitFile.ts";
import { type DecodeLimits, givenLimits } from "../picture/decodeLimits.ts";
import { lastsLong } from "../run/lastsLong.ts";
import type { RowMemory } from "../run/memory/rowMemory.ts";
import type { SeenFrame } from "../run/seenFrame.ts";
import { untilAborted } from "../run/untilAborted.ts";
import type { FrameFacts, SetFacts } from "./frameFacts.ts";
import { type FrameAsks, measureFacts } from "./measureFacts.ts";
import { asksOf, type ReadyFrame, type ReadySet } from "./readySet.ts";
import { type Unit, unitsOf } from "./units.ts";

/** An observer of a check; {@link checkReport} makes one. Only the check may call it, and its methods may change. */
export interface CheckWatch {
  /**
   * Receives the sets before the first picture is opened.
   *
   * @internal
   */
  begin(sets: readonly ReadySet[]): void;
  /**
   * Receives a frame's pixels, once for each tone that is measured.
   *
   * @param units - the frame's own; none where another shard checks it
   * @internal
   */
  look(set: ReadySet, units: readonly Unit[], frame: ReadyFrame, seen: SeenFrame): Promise<void>;
  /**
   * Receives what was measured of a frame; the check continues when the promise resolves.
   *
   * @param units - the frame's own; none where another shard checks it
   * @internal
   */
  measured(
    set: ReadySet,
    units: readonly Unit[],
    frame: ReadyFrame,
    facts: FrameFacts,
  ): Promise<void>;
}

interface MeasureSetOptions extends DecodeLimits {
  readonly jobs?: number | undefined;
  readonly memory?: readonly RowMemory[];
  readonly processes?: boolean | undefined;
  readonly watch?: CheckWatch | null;
  readonly signal?: AbortSignal | undefined;
}

/**
 * Reads and measures every frame that these units need. An observer sees all that the whole set asks of each, so that it
 * shows the same in a part as in one run.
 */
export async function measureSet(
  set: ReadySet,
  units: readonly Unit[],
  {
    jobs = availableParallelism(),
    memory = [],
    processes,
    watch = null,
    signal,
    ...rest
  }: MeasureSetOptions = {},
): Promise<SetFacts> {
  const asks = asksByFrame(units);
  const measures = watch ? asksByFrame(unitsOf(set)) : asks;
  const frames = set.frames.filter(({ id }) => asks.has(id));
  const kits = await kitsOf(set.folder, frames);
  const files = frames.map(({ file }) => join(set.folder, file));
  const apart = watch === null && (processes ?? (await lastsLong(files)));
  const measure = async (frame: ReadyFrame): Promise<readonly [string, FrameFacts]> => {
    const { id } = frame;
    const kit = kits.get(frame.kit?.measured ?? "") ?? null;
    const own = units.filter((unit) => unit.kind === "frame" && unit.frame.id === id);
    const asked = { ...(measures.get(id) as FrameAsks), kit };
    const look = watch?.look.bind(watch, set, own, frame);
    const facts = await measureFacts(set.folder, frame, asked, {
      memory,
      processes: apart,
      look,
      ...givenLimits(rest),
    });
    await watch?.measured(set, own, frame, facts);
    return [id, watch ? withoutHistograms(facts) : facts];
  };
  const measured = await pMap(frames, (frame) => untilAborted(signal, () => measure(frame)), {
    concurrency: jobs,
  });
  return new Map(measured);
}

/** What has to be measured of each frame, by the frames' names. */
export function asksByFrame(units: readonly Unit[]): ReadonlyMap<string, FrameAsks> {
  const asks = new Map<string, { tones: FrameAsks["tones"][number][]; readings: boolean }>();
  const askedOf = (id: string) => {
    const known = asks.get(id) ?? { tones: [], readings: false };
    asks.set(id, known);
    return known;
  };
  for (const unit of units) {
    if (unit.kind === "extras") continue;
    const entries = unit.kind === "frame" ? unit.frame.claims : [unit.relation];
    if (unit.kind === "frame") askedOf(unit.frame.id);
    for (const entry of entries) {
      for (const ask of asksOf(entry)) {
        const asked = askedOf(ask.frame);
        asked.tones.push(ask);
        asked.readings ||= entry.kind === "reading";
      }
    }
  }
  return asks;
}

/** The facts without histograms, which only an observer needs. */
export function withoutHistograms(facts: FrameFacts): FrameFacts {
  const tones = [...facts.tones].map(([key, { histograms: _, ...row }]) => [key, row] as const);
  return { ...facts, tones: new Map(tones) };
}

/**
 * The measured kits that frames of a set name, each read once. A folder of kits beside the pictures is ignored: the set file
 * alone decides what its claims are judged by.
 */
async function kitsOf(
  folder: string,
  frames: readonly ReadyFrame[],
): Promise<ReadonlyMap<string, NamedKit>> {
  const files = new Set(frames.flatMap(({ kit }) => kit?.measured ?? []));
  const kits = new Map<string, NamedKit>();
  for (const file of files) {
    kits.set(file, { ...(await readKitFile(join(folder, file))), file });
  }
  return kits;
}
