import { parsePlacement } from "@tonefall/tone-core";
import { placementText } from "../src/report/words.ts";
import { addBriefLine } from "./briefLines.ts";
import { element } from "./element.ts";

/** A region and a placement as a line of a brief file. */
export interface PickLine {
  readonly element: HTMLElement;
  /** Writes the line anew after the spot has moved. */
  readonly tell: () => void;
}

/** Lets a person choose a placement for the spot, and keep the two as a line of a brief file. */
export function pickLine(
  frame: { readonly name: string; readonly place: string | null },
  region: () => string,
): PickLine {
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
    line.textContent = briefLine(frame.name, region(), place.value);
  };
  place.addEventListener("input", tell);
  add.addEventListener("click", () => addBriefLine(line.textContent ?? ""));
  return {
    element: element(
      "div",
      { class: "pick" },
      element("label", {}, "Placement for this spot ", place),
      meaning,
      element("p", {}, line),
      add,
    ),
    tell,
  };
}

/**
 * A line of a brief file: the frame's name as a glob that matches nothing else, its region and its placement.
 *
 * @param name - below the folder that all frames share
 */
function briefLine(name: string, region: string, place: string): string {
  const escaped = name.replace(/[\\*?[\]{}()!+@|]/g, "\\$&");
  const glob = escaped.includes("/") ? `**/${escaped}` : escaped;
  const keys = [`region: ${JSON.stringify(region)}`];
  if (place.trim() !== "") keys.push(`place: ${JSON.stringify(place.trim())}`);
  return `${JSON.stringify(glob)}: { ${keys.join(", ")} }`;
}

function placement(text: string): { readonly text: string; readonly wrong: boolean } {
  if (text.trim() === "") return { text: "measured, not judged", wrong: false };
  try {
    return { text: `${placementText(parsePlacement(text))} stops`, wrong: false };
  } catch (error) {
    return { text: (error as Error).message, wrong: true };
  }
}
