import type { Note } from "../model/note.ts";
import type { Exposure } from "../model/result.ts";
import type { NamedKit } from "./kitFile.ts";
import { kitDifference, kitIdentity } from "./kitIdentity.ts";

/** The kit that a frame is graded with, and what its reader should know of the choice. */
export interface ChosenKit {
  readonly chosen: NamedKit | null;
  readonly notes: readonly Note[];
}

/**
 * The kit of a frame among those at hand: the one whose camera, style and software are the frame's.
 *
 * Of several that match, the last with a curve is taken, then the last. A kit of the frame's camera that differs in style
 * or software is refused, and the note says in what.
 */
export function chooseKit(kits: readonly NamedKit[], exposure: Exposure): ChosenKit {
  if (kits.length === 0) return { chosen: null, notes: [] };
  const identity = kitIdentity(exposure);
  const judged = kits.map((named) => ({ named, difference: kitDifference(named.kit, identity) }));
  const fitting = judged.filter(({ difference }) => difference === null).map(({ named }) => named);
  const chosen = fitting.filter(({ kit }) => kit.curve).at(-1) ?? fitting.at(-1) ?? null;
  if (!chosen) {
    const ofCamera = judged.find(({ difference }) => !/^(maker|model) /.test(difference ?? ""));
    // Among the kits of a class, those of other cameras say nothing of this frame.
    const nearest = ofCamera ?? (judged.length === 1 ? judged[0] : undefined);
    if (!nearest) return { chosen: null, notes: [] };
    return {
      chosen: null,
      notes: [
        {
          code: "kit-refused",
          message: `The kit ${nearest.named.file} is not used: the frame has ${nearest.difference}.`,
        },
      ],
    };
  }
  return { chosen, notes: isoNotes(chosen, exposure) };
}

function isoNotes({ kit, file }: NamedKit, { iso }: Exposure): readonly Note[] {
  if (!kit.iso || iso.value === null) return [];
  if (iso.value >= kit.iso.from && iso.value <= kit.iso.to) return [];
  return [
    {
      code: "kit-other-iso",
      message: `The kit ${file} was measured at ISO ${kit.iso.from}${kit.iso.to > kit.iso.from ? ` to ${kit.iso.to}` : ""}, the frame has ISO ${iso.value}; cameras may put middle grey elsewhere there.`,
    },
  ];
}
