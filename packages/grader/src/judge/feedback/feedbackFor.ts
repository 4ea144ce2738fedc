import type { FactCode } from "../../model/cause.ts";
import { type Cause, MOST_CAUSES_SHOWN } from "../../model/cause.ts";
import type { Feedback, Voice } from "../../model/feedback.ts";
import { wasMade } from "../../model/madeFrame.ts";
import type { NextSettings } from "../../model/nextSettings.ts";
import { adviseNext } from "../advice/adviseNext.ts";
import { asksForCheck } from "../advice/expectedFall.ts";
import { lightWords } from "../advice/lightWords.ts";
import { type CauseFacts, type CauseRow, causeFacts } from "../cause/causeFacts.ts";
import { sizedEvidence } from "../cause/evidence.ts";
import { notKnown } from "../cause/notKnown.ts";
import { cautionsFor } from "./cautions.ts";
import {
  ACTIONS,
  CHECK_AGAIN,
  INTENT,
  MAY_BE_INTENDED,
  MISSED,
  NOT_METERED,
  NOT_MISSED,
  RENDERING_EXPLAINS,
  TOO_FAR,
} from "./templates.ts";

const RENDERING_EXPLAINED: FactCode = "rendering-explains";

/**
 * A grade in words: what happened, why, and one thing to do next.
 *
 * The words speak of one miss and give one number, the size of the advice, after its direction. They blame nobody and no
 * gear, and leave room for intent where the photographer chose the exposure; the mark is the teacher's.
 *
 * @param row - a graded row
 * @param causes - as `findCauses` gave them
 * @param voice - whom the words address
 * @param next - as `adviseNext` gave it
 * @returns null where the row has no verdict, or is of a frame made by `tonefall expose`
 */
export function feedbackFor(
  row: CauseRow,
  causes: readonly Cause[],
  voice: Voice,
  next: NextSettings | null = adviseNext(row),
): Feedback | null {
  const { verdict } = row;
  if (verdict === null || wasMade(row)) return null;
  const facts = causeFacts(row);
  const named = facts ? causesForPeople(facts, causes) : [];
  const text = facts
    ? missText(facts, named[0] as Cause, voice, next)
    : notMissedText(verdict, voice);
  return {
    voice,
    text,
    causes: named.map(({ code }) => code),
    strength: named[0]?.strength ?? null,
    cautions: cautionsFor({
      words: [row.placement?.text ?? "", text],
      flashFired: row.exposure?.flashFired.value === true,
      ev100: row.givenExposure === null ? null : -row.givenExposure,
    }),
  };
}

/** The causes that the words speak from: never none, since "not known" is an answer. */
function causesForPeople({ miss }: CauseFacts, causes: readonly Cause[]): readonly Cause[] {
  const found = causes.length > 0 ? causes : [notKnown([sizedEvidence("miss", miss)])];
  return found.slice(0, MOST_CAUSES_SHOWN);
}

function notMissedText(verdict: CauseRow["verdict"], voice: Voice): string {
  return NOT_MISSED[verdict === "within" ? "within" : "undecided"][voice];
}

function missText(
  facts: CauseFacts,
  cause: Cause,
  voice: Voice,
  next: NextSettings | null,
): string {
  // The size is the advice's own: words, card and table give one figure.
  const size = next && lightWords(next);
  const over = facts.side > 0;
  const filling: Readonly<Record<string, string>> = {
    act: ACTIONS[facts.mode],
    lighter: over ? "lighter" : "darker",
    light: over ? "light" : "dark",
    less: over ? "less" : "more",
    reduce: over ? "reduce" : "increase",
    towards: over ? "towards -" : "towards +",
    size: size ?? "",
  };
  const fill = (text: string): string =>
    text.replace(/\{(\w+)\}/g, (_, slot: string) => filling[slot] as string);
  if (!next || size === null) return fill(TOO_FAR[voice]);
  const text = [
    causeText(facts, cause, voice),
    ...(asksForCheck(next, facts.row) ? [CHECK_AGAIN] : []),
    ...(MAY_BE_INTENDED.has(cause.code) ? [INTENT] : []),
  ].join(" ");
  // The action holds slots of its own.
  return fill(fill(text));
}

function causeText({ mode }: CauseFacts, { code, evidence }: Cause, voice: Voice): string {
  const byRendering = evidence.some((fact) => fact.code === RENDERING_EXPLAINED);
  if (code === "not-known" && byRendering) return RENDERING_EXPLAINS[voice];
  if (code === "settings-changed-after-metering" && mode === "auto") return NOT_METERED[voice];
  return MISSED[code][voice];
}
