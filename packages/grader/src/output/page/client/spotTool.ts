import { renderedOfLight, speakStops } from "@tonefall/tone-core";
import { boundedStopsText } from "../../../model/words.ts";
import type { SpotFrame } from "../spotFrame.ts";
import { sizeBound } from "../wording.ts";
import { element } from "./element.ts";
import { drawExposed } from "./exposedPicture.ts";
import { type FrameLight, frameLight } from "./frameLight.ts";
import { pickLine } from "./pickLine.ts";
import { spotControls } from "./spotControls.ts";
import { type SpotReading, spotReading } from "./spotReading.ts";
import { keptInside, regionOfSpot, type SpotShape, spotOfRegion, spotText } from "./spotShape.ts";

/** Offers the movable spot on every card that carries light. */
export function spotTools(): void {
  for (const place of document.querySelectorAll<HTMLElement>(".spot")) {
    const id = place.closest("article")?.id;
    const data = document.getElementById(`${id}-light`);
    if (!data) continue;
    place.hidden = false;
    place.querySelector("button")?.addEventListener("click", async () => {
      const frame = JSON.parse(data.textContent ?? "") as SpotFrame;
      place.replaceChildren(spotTool(frame, await frameLight(frame.proxy)));
      place.querySelector<HTMLElement>(".handle")?.focus({ preventScroll: true });
    });
  }
}

/** The spot over the frame as shot, what it reads, and the frame as a meter on it would have exposed it. */
function spotTool(frame: SpotFrame, light: FrameLight): HTMLElement {
  const aspect = frame.proxy.width / frame.proxy.height;
  const begin = spotOfRegion(frame.region ?? "whole", aspect);
  let spot = begin;
  const asShot = element("canvas", { role: "img", "aria-label": "The frame as shot" });
  const exposed = element("canvas", { role: "img", "aria-label": "The frame as the spot asks" });
  const handle = element("button", {
    type: "button",
    class: "handle",
    "aria-label": "Spot: arrow keys move it, plus and minus change its size",
  });
  const answer = element("p", { class: "answer", role: "status" });
  const ends = element("p", { class: "ends" });
  const shown = element("div", { class: `shown ${aspect < 1 ? "tall" : "wide"}` }, asShot, handle);
  const other = element("div", { class: `shown ${aspect < 1 ? "tall" : "wide"}` }, exposed);
  const line = pickLine(frame, () => spotText(spot));

  const controls = spotControls({
    aspect,
    onSpot: (changed) => show(changed),
    onLook: () => show(spot),
    onReset: () => show(begin),
  });

  function show(wanted: SpotShape): void {
    spot = keptInside(wanted, aspect);
    const reading = spotReading(light, regionOfSpot(spot));
    const look = controls.look();
    const read = reading?.stops ?? 0;
    const more = -(frame.proxy.sceneGuessed ? renderedOfLight(read) : read);
    const before = drawExposed(asShot, light, { moreStops: 0, ...look });
    const after = drawExposed(exposed, light, { moreStops: more, ...look });
    answer.replaceChildren(...answerText(reading, frame));
    ends.textContent = `At white: ${percent(before)} of the frame as shot, ${percent(after)} as the spot asks.${
      more < 0 && before > 0.001
        ? " Clipped detail does not come back when the picture is made darker."
        : ""
    }`;
    lay(handle, spot);
    controls.tell(spot);
    line.tell();
  }

  movable({ handle, shown, aspect, spot: () => spot, show });
  const tool = element(
    "section",
    { class: "spot-tool", "aria-label": `Spot on ${frame.name}` },
    element("h4", {}, "Move the spot to see what a meter reading there would do"),
    element(
      "div",
      { class: "pair" },
      picture(shown, "As shot"),
      picture(other, "As a meter on this spot would have exposed it"),
    ),
    answer,
    ends,
    controls.element,
    line.element,
  );
  show(begin);
  return tool;
}

function picture(shown: HTMLElement, caption: string): HTMLElement {
  return element(
    "figure",
    { class: "picture" },
    element("div", { class: "surround" }, shown),
    element("figcaption", {}, caption),
  );
}

function lay(handle: HTMLElement, { round, x, y, halfWidth, halfHeight }: SpotShape): void {
  const { style } = handle;
  style.left = `${100 * (x - halfWidth)}%`;
  style.top = `${100 * (y - halfHeight)}%`;
  style.width = `${200 * halfWidth}%`;
  style.height = `${200 * halfHeight}%`;
  style.borderRadius = round ? "50%" : "0";
}

function answerText(reading: SpotReading | null, frame: SpotFrame): (Node | string)[] {
  if (!reading) return ["The spot lies outside the picture."];
  const { stops, bound } = reading;
  const value = element("data", { value: stops.toFixed(4) }, boundedStopsText(reading));
  const away = Math.abs(stops) < 1 / 6 ? "" : speakStops(stops);
  const least = sizeBound(stops, bound);
  const asked = away
    ? `${least}${away} ${stops > 0 ? "less" : "more"} light`
    : "neither more nor less light";
  const time =
    frame.shutterSeconds === null || !away || bound
      ? ""
      : `, about ${secondsText(frame.shutterSeconds * 2 ** -stops)} instead of ${secondsText(frame.shutterSeconds)}`;
  const subject =
    frame.fall === null || frame.fall.bound || bound
      ? ""
      : ` The brief's region would then have fallen at ${boundedStopsText({ stops: frame.fall.stops - stops, bound: null })}.`;
  const kind =
    frame.fromSensor || frame.basis === "scene"
      ? ""
      : " These are stops of the picture, not of the scene.";
  return [
    element("strong", {}, "This spot fell at ", value, " stops."),
    ` A meter on it would have asked for ${asked}${time}.${subject}${kind}`,
  ];
}

function secondsText(seconds: number): string {
  if (seconds >= 0.3) return `${Number(seconds.toPrecision(2))} s`;
  return `1/${Number((1 / seconds).toPrecision(2))} s`;
}

function percent(share: number): string {
  return `${(100 * share).toFixed(1)} %`;
}

const STEP = 0.01;
const LARGE_STEP = 0.05;

/** Lets pointer and keys move and size the spot. */
function movable({
  handle,
  shown,
  aspect,
  spot,
  show,
}: {
  readonly handle: HTMLElement;
  readonly shown: HTMLElement;
  readonly aspect: number;
  readonly spot: () => SpotShape;
  readonly show: (spot: SpotShape) => void;
}): void {
  handle.addEventListener("keydown", (event) => {
    const step = event.shiftKey ? LARGE_STEP : STEP;
    const { x, y, halfWidth, halfHeight } = spot();
    const sized = (factor: number): Partial<SpotShape> => ({
      halfWidth: halfWidth * factor,
      halfHeight: halfHeight * factor,
    });
    const changes: Record<string, Partial<SpotShape>> = {
      ArrowLeft: { x: x - step },
      ArrowRight: { x: x + step },
      ArrowUp: { y: y - step * aspect },
      ArrowDown: { y: y + step * aspect },
      "+": sized(1.1),
      "=": sized(1.1),
      "-": sized(1 / 1.1),
    };
    const change = changes[event.key];
    if (!change) return;
    event.preventDefault();
    show({ ...spot(), ...change });
  });

  const at = (event: PointerEvent): { x: number; y: number } => {
    const box = shown.getBoundingClientRect();
    return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
  };
  shown.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    handle.focus({ preventScroll: true });
    shown.setPointerCapture(event.pointerId);
    const { x, y, halfWidth, halfHeight } = spot();
    const from = at(event);
    const [across, down] = [Math.abs(from.x - x) / halfWidth, Math.abs(from.y - y) / halfHeight];
    const out = spot().round ? Math.hypot(across, down) : Math.max(across, down);
    const sizing = out > 0.8 && out < 1.2;
    // Pressed away from the spot, it comes to the pointer.
    if (out >= 1.2) show({ ...spot(), ...from });
    const grip = out >= 1.2 ? { x: 0, y: 0 } : { x: from.x - x, y: from.y - y };
    const move = (moved: PointerEvent): void => {
      const to = at(moved);
      const [dx, dy] = [Math.abs(to.x - spot().x), Math.abs(to.y - spot().y)];
      if (!sizing) show({ ...spot(), x: to.x - grip.x, y: to.y - grip.y });
      else if (spot().round) show({ ...spot(), halfWidth: Math.hypot(dx, dy / aspect) });
      else show({ ...spot(), halfWidth: dx, halfHeight: dy });
    };
    shown.addEventListener("pointermove", move);
    shown.addEventListener(
      "lostpointercapture",
      () => shown.removeEventListener("pointermove", move),
      {
        once: true,
      },
    );
  });
}
