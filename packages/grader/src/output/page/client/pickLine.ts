import { parsePlacement } from "@tonefall/tone-core";
import { placementText } from "../../../model/words.ts";
import { typeset } from "../pageWords.ts";
import type { SpotFrame } from "../spotFrame.ts";
import { element } from "./element.ts";
import { keepPick } from "./keptPicks.ts";
import { briefLine, type Pick } from "./pick.ts";

/** A region and a placement on their way to a file. */
export interface PickLine {
  readonly element: HTMLElement;
  /** Writes the line anew after the spot has moved. */
  readonly tell: () => void;
}

/** Lets a person choose a placement for the spot, and keep the two for a brief or a set file. */
export function pickLine(frame: Omit<SpotFrame, "proxy">, region: () => string): PickLine {
  const place = element("input", {
    type: "text",
    value: frame.place ?? "",
    autocomplete: "off",
    spellcheck: "false",
  });
  const meaning = element("span", { class: "meaning", role: "status" });
  const line = element("code");
  const add = element("button", { type: "button" }, "Keep this line");
  const tell = (): void => {
    const { text, wrong } = placement(place.value);
    meaning.textContent = text;
    add.disabled = wrong;
    line.textContent = briefLine(pick());
  };
  const pick = (): Pick => ({
    file: frame.name,
    setId: frame.setId,
    region: region(),
    place: place.value.trim(),
  });
  place.addEventListener("input", tell);
  add.addEventListener("click", () => keepPick(pick()));
  return {
    element: element(
      "details",
      { class: "pick" },
      element("summary", {}, "Keep this spot for a brief or a set"),
      element("label", {}, "Placement for this spot ", place),
      meaning,
      element("p", {}, line),
      add,
    ),
    tell,
  };
}

function placement(text: string): { readonly text: string; readonly wrong: boolean } {
  if (text.trim() === "") return { text: "measured, not judged", wrong: false };
  try {
    return { text: typeset(`${placementText(parsePlacement(text))} stops`), wrong: false };
  } catch (error) {
    return { text: (error as Error).message, wrong: true };
  }
}
