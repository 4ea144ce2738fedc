import { type Finding, finding } from "./finding.ts";
import type { FrameFacts } from "./frameFacts.ts";
import type { ReadyFrame } from "./readySet.ts";

/** Whether a frame was taken with the kit that its set names; null where the set names none or the file cannot be read. */
export function judgeKit({ id, kit }: ReadyFrame, { read }: FrameFacts): Finding | null {
  const exposure = read?.exposure;
  if (!exposure || !kit || (kit.make === undefined && kit.model === undefined)) return null;
  const words = (make?: string | null, model?: string | null): string =>
    [make, model].filter((word) => word).join(" ");
  const expected = words(kit.make, kit.model);
  const { make, model } = exposure;
  const measured = words(make.value, model.value);
  const pairs = [
    [kit.make, make.value],
    [kit.model, model.value],
  ] as const;
  const differs = pairs.some(
    ([claimed, recorded]) => claimed !== undefined && recorded !== null && claimed !== recorded,
  );
  if (differs) {
    const sentence = `Frame ${id} was taken with ${measured}, not with ${expected}.`;
    return finding({ outcome: "missed", code: "other-kit", expected, measured, sentence });
  }
  if (pairs.some(([claimed, recorded]) => claimed !== undefined && recorded === null)) {
    return finding({
      outcome: "undecided",
      code: "not-recorded",
      expected,
      measured: measured || null,
      sentence: `Frame ${id} does not record its camera.`,
    });
  }
  const sentence = `Frame ${id} was taken with its kit.`;
  return finding({ outcome: "kept", code: "holds", expected, measured, sentence });
}
