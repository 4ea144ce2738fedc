import type { Note } from "../model/note.ts";
import type { Exposure } from "../model/result.ts";
import type { NamedKit } from "./kit.ts";
import { differenceText, isOtherCamera, kitDifference, kitIdentity } from "./kitIdentity.ts";

/** The kit that a frame is graded with, and what its reader should know of the choice. */
export interface ChosenKit {
  /** Null where none fits. */
  readonly chosen: NamedKit | null;
  /** Why none fits, or what to keep in mind of the one that does. */
  readonly notes: readonly Note[];
}

/**
 * The kit of a frame among those at hand: the one of the frame's camera, style and software.
 *
 * Of several that match, the last with a curve is taken, otherwise the last. A kit of the frame's camera that differs in
 * style or software is refused, and the note says in what.
 */
export function chooseKit(kits: readonly NamedKit[], exposure: Exposure): ChosenKit {
  const identity = kitIdentity(exposure);
  const compared = kits.map((named) => ({
    named,
    difference: kitDifference(named.kit, identity),
  }));
  const fitting = compared.filter(({ difference }) => !difference).map(({ named }) => named);
  const chosen = fitting.filter(({ kit }) => kit.curve).at(-1) ?? fitting.at(-1);
  if (chosen) return { chosen, notes: isoNotes(chosen, exposure) };
  const refused = compared.flatMap(({ named, difference }) =>
    difference ? [{ file: named.file, difference }] : [],
  );
  const ofCamera = refused.find(({ difference }) => !isOtherCamera(difference));
  // Among the kits of a class, those of other cameras say nothing of this frame.
  const nearest = ofCamera ?? (refused.length === 1 ? refused[0] : undefined);
  if (!nearest) return { chosen: null, notes: [] };
  const message = `The kit ${nearest.file} is not used: the frame has ${differenceText(nearest.difference)}.`;
  return { chosen: null, notes: [{ code: "kit-refused", message }] };
}

function isoNotes({ kit, file }: NamedKit, { iso }: Exposure): readonly Note[] {
  if (!kit.iso || iso.value === null) return [];
  const { from, to } = kit.iso;
  if (iso.value >= from && iso.value <= to) return [];
  const measured = to > from ? `${from} to ${to}` : `${from}`;
  return [
    {
      code: "kit-other-iso",
      message: `The kit ${file} was measured at ISO ${measured}, and the frame has ISO ${iso.value}, where the camera may put middle grey elsewhere.`,
    },
  ];
}
