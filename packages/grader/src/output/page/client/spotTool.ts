import { renderedOfLight } from "@tonefall/tone-core";
import { boundedFigure } from "../pageWords.ts";
import { rulerAt } from "../ruler.ts";
import type { SpotFrame } from "../spotFrame.ts";
import { forEachCard } from "./cards.ts";
import { element } from "./element.ts";
import { exposedPicture } from "./exposedPicture.ts";
import { frameLight } from "./frameLight.ts";
import { pickLine } from "./pickLine.ts";
import { spotAnswer } from "./spotAnswer.ts";
import { spotControls } from "./spotControls.ts";
import { spotLayer } from "./spotLayer.ts";
import { spotReading } from "./spotReading.ts";
import { keptInside, regionOfSpot, type SpotShape, spotOfRegion, spotText } from "./spotShape.ts";

/** Light is unpacked when a spot is first pressed, and let go with the tool. */
const inUse = new WeakMap<Element, Promise<SpotTool>>();

interface SpotTool {
  readonly show: (spot: SpotShape) => void;
  readonly spot: () => SpotShape;
  readonly handle: HTMLElement;
}

/** Reads a spot wherever a card's picture is pressed, or where its button says. */
export function spotTools(): void {
  forEachCard((card) => {
    const button = card.querySelector<HTMLButtonElement>(".spot-open");
    const shown = card.querySelector<HTMLElement>(".picture .shown");
    if (!button || !shown) return;
    button.hidden = false;
    shown.classList.add("spottable");
    button.addEventListener("click", async () => {
      const { handle } = await toolOf(card, shown);
      handle.focus({ preventScroll: true });
    });
    shown.addEventListener("pointerdown", async (event) => {
      if (event.button !== 0 || inUse.has(card)) return;
      const { show, spot, handle } = await toolOf(card, shown);
      const at = placeIn(shown, event);
      show({ ...spot(), ...at });
      handle.focus({ preventScroll: true });
    });
  });
}

function toolOf(card: HTMLElement, shown: HTMLElement): Promise<SpotTool> {
  const known = inUse.get(card);
  if (known) return known;
  const made = spotTool(card, shown);
  inUse.set(card, made);
  return made;
}

/** Where a pointer is in a picture, in fractions of it. */
function placeIn(shown: HTMLElement, event: PointerEvent): { x: number; y: number } {
  const image = shown.querySelector("img");
  const box = shown.getBoundingClientRect();
  const aspect = image ? image.naturalWidth / image.naturalHeight : box.width / box.height;
  const width = Math.min(box.width, box.height * aspect);
  const height = width / aspect;
  return {
    x: (event.clientX - box.left - (box.width - width) / 2) / width,
    y: (event.clientY - box.top - (box.height - height) / 2) / height,
  };
}

async function spotTool(card: HTMLElement, shown: HTMLElement): Promise<SpotTool> {
  const text = document.getElementById(`${card.id}-light`)?.textContent ?? "";
  const frame = JSON.parse(text) as SpotFrame;
  const light = await frameLight(frame.proxy);
  const image = shown.querySelector("img") as HTMLImageElement;
  await image.decode();
  const aspect = frame.proxy.width / frame.proxy.height;
  const exposed = exposedPicture(image, light);
  const begin = spotOfRegion(frame.region ?? "whole", aspect);
  let spot = begin;

  const answer = element("p", { class: "answer", role: "status" });
  const ends = element("p", { class: "quiet small" });
  const canvas = element("canvas", { role: "img", "aria-label": "The frame as the spot asks" });
  const beside = element("div", { class: "shown", hidden: "" });
  const line = pickLine(frame, () => spotText(spot));
  const needle = needleOf(card);
  const layer = spotLayer({ shown, aspect, spot: () => spot, show: (next) => later(next) });
  const controls = spotControls({
    aspect,
    onSpot: (next) => later(next),
    onLook: () => later(spot),
    onReset: () => later(begin),
    onHold: (held) => hold(held),
    onBeside: (wanted) => setBeside(wanted),
    onDone: () => done(),
  });
  const tool = element(
    "section",
    { class: "spot-tool", "aria-label": `Spot on ${frame.name}` },
    answer,
    ends,
    controls.element,
    line.element,
  );

  /** At most one drawing for each frame of the display, of the latest place. */
  let waiting = 0;
  function later(next: SpotShape): void {
    spot = keptInside(next, aspect);
    waiting ||= requestAnimationFrame(() => {
      waiting = 0;
      draw();
    });
  }

  function draw(): void {
    const reading = spotReading(light, regionOfSpot(spot));
    const read = reading?.stops ?? 0;
    const more = -(frame.proxy.sceneGuessed ? renderedOfLight(read) : read);
    layer.lay(spot, reading ? boundedFigure(reading) : "");
    needle(reading?.stops ?? null);
    answer.replaceChildren(...spotAnswer(reading, frame));
    const [before, after] = [exposed.atWhite(0), exposed.atWhite(more)];
    ends.textContent = `At white: ${percent(before)} of the frame as shot, ${percent(after)} as the spot asks.${
      more < 0 && before > 0.001
        ? " Clipped detail does not come back when the picture is made darker."
        : ""
    }`;
    controls.tell(spot);
    line.tell();
    if (canvas.isConnected) exposed.draw(canvas, { moreStops: more, ...controls.look() });
  }

  function hold(held: boolean): void {
    if (!beside.hidden) return;
    if (held) shown.querySelector("svg.region")?.before(canvas);
    else canvas.remove();
    draw();
  }

  function setBeside(wanted: boolean): void {
    beside.hidden = !wanted;
    shown.parentElement?.classList.toggle("side-by-side", wanted);
    if (wanted) {
      beside.append(canvas);
      shown.after(beside);
    } else {
      canvas.remove();
      beside.remove();
    }
    draw();
  }

  function done(): void {
    cancelAnimationFrame(waiting);
    setBeside(false);
    layer.remove();
    needle(null);
    tool.remove();
    card.classList.remove("spotting");
    inUse.delete(card);
    card.querySelector<HTMLElement>(".spot-open")?.focus({ preventScroll: true });
  }

  const place = card.querySelector(".findings") ?? card.querySelector(".picture");
  place?.append(tool);
  card.classList.add("spotting");
  tool.addEventListener("keydown", (event) => {
    if (event.key === "Escape") done();
  });
  layer.handle.addEventListener("keydown", (event) => {
    if (event.key === "Escape") done();
    if (event.key.toLowerCase() === "x" && !event.repeat) hold(true);
  });
  layer.handle.addEventListener("keyup", (event) => {
    if (event.key.toLowerCase() === "x") hold(false);
  });
  draw();
  return { show: later, spot: () => spot, handle: layer.handle };
}

/** A line over the card's ruler that goes with the reading. */
function needleOf(card: HTMLElement): (stops: number | null) => void {
  const svg = card.querySelector<SVGSVGElement>("svg.ruler");
  if (!svg) return () => {};
  const ends = [Number(svg.dataset["from"]), Number(svg.dataset["to"])] as const;
  const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
  line.setAttribute("class", "needle");
  line.setAttribute("y1", "0");
  // Down to the tones, past every lane.
  line.setAttribute("y2", String(Number(svg.getAttribute("height")) - 32));
  return (stops) => {
    if (stops === null) {
      line.remove();
      return;
    }
    const at = rulerAt(stops, ends);
    line.setAttribute("x1", at);
    line.setAttribute("x2", at);
    if (!line.isConnected) svg.append(line);
  };
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}
