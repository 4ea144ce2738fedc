import { CAUSES_TOLD, type Cause } from "../../model/cause.ts";
import type { Feedback, Voice } from "../../model/feedback.ts";
import { adviseNext } from "../advice/adviseNext.ts";
import { lightWords } from "../advice/lightWords.ts";
import { type CauseFacts, type CauseRow, causeFacts } from "../cause/causeFacts.ts";
import type { EvidenceCode } from "../cause/evidence.ts";
import { notKnown } from "../cause/notKnown.ts";
import { cautionsFor } from "./cautions.ts";
import { ACTIONS, INTENT, MISSED, NOT_MISSED, RENDERING_EXPLAINS, TOO_FAR } from "./templates.ts";

const RENDERING_EXPLAINED: EvidenceCode = "rendering-explains";

/**
 * A grade in words: what happened, why, and one thing to do next.
 *
 * It tells one miss by one number, that of the advice, with its direction in words before it. It blames nobody
 * and no gear, and leaves room for intent; the mark is the teacher's.
 *
 * @param row - a graded row
 * @param causes - as `findCauses` gave them
 * @returns null where the row has no verdict
 */
export function feedbackFor(
  row: CauseRow,
  causes: readonly Cause[],
  voice: Voice,
): Feedback | null {
  const { verdict } = row;
  if (verdict === null) return null;
  const facts = causeFacts(row);
  const told = facts ? (causes.length > 0 ? causes : [notKnown("miss")]).slice(0, CAUSES_TOLD) : [];
  const text = facts ? missText(facts, told[0] as Cause, voice) : heldText(verdict, voice);
  return {
    voice,
    text,
    causes: told.map(({ code }) => code),
    strength: told[0]?.strength ?? null,
    cautions: cautionsFor({
      words: [row.placement?.text ?? "", text],
      flashFired: row.exposure?.flashFired.value === true,
      ev100: row.givenExposure === null ? null : -row.givenExposure,
    }),
  };
}

function heldText(verdict: CauseRow["verdict"], voice: Voice): string {
  return NOT_MISSED[verdict === "within" ? "within" : "undecided"][voice];
}

/** The size is the advice's own: one figure in words, card and table. */
function missText(facts: CauseFacts, cause: Cause, voice: Voice): string {
  const over = facts.side > 0;
  const next = adviseNext(facts.row);
  const size = next && lightWords(next);
  const filling: Readonly<Record<string, string>> = {
    act: ACTIONS[facts.mode],
    lighter: over ? "lighter" : "darker",
    light: over ? "light" : "dark",
    less: over ? "less" : "more",
    towards: over ? "towards -" : "towards +",
    size: size ?? "",
  };
  const fill = (text: string): string =>
    text.replace(/\{(\w+)\}/g, (_, slot: string) => filling[slot] as string);
  const what = size === null ? TOO_FAR[voice] : wordsFor(cause)[voice];
  // The action holds words to fill in of its own.
  return fill(fill(`${what} ${INTENT[voice]}`));
}

function wordsFor({ code, evidence }: Cause): Readonly<Record<Voice, string>> {
  const byRendering = evidence.some((piece) => piece.code === RENDERING_EXPLAINED);
  return code === "not-known" && byRendering ? RENDERING_EXPLAINS : MISSED[code];
}
