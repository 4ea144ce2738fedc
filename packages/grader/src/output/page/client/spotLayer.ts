import { element } from "./element.ts";
import { pulled, type Side, type SpotShape } from "./spotShape.ts";

/** A spot that lies on a picture. */
export interface SpotLayer {
  /** What has the focus, and takes the keys. */
  readonly handle: HTMLElement;
  readonly lay: (spot: SpotShape, label: string) => void;
  readonly remove: () => void;
}

const STEP = 0.01;
const LARGE_STEP = 0.05;
const SIDES: readonly Side[] = ["left", "right", "top", "bottom"];

/** Lays a spot over a picture, with a grip on each side, and lets pointer and keys move and size it. */
export function spotLayer({
  shown,
  aspect,
  spot,
  show,
}: {
  readonly shown: HTMLElement;
  readonly aspect: number;
  readonly spot: () => SpotShape;
  readonly show: (spot: SpotShape) => void;
}): SpotLayer {
  const handle = element("button", {
    type: "button",
    class: "spot",
    "aria-label":
      "Spot: arrow keys move it, plus and minus change its size, X shows it exposed so, Escape ends",
  });
  const label = element("span", { class: "spot-label", "aria-hidden": "true" });
  const grips = SIDES.map((side) => element("span", { class: "grip", "data-side": side }));
  const layer = element("div", { class: "spot-layer" }, handle, ...grips, label);
  shown.append(layer);
  const fit = new ResizeObserver(([entry]) => {
    const { width, height } = (entry as ResizeObserverEntry).contentRect;
    const across = Math.min(width, height * aspect);
    const down = across / aspect;
    Object.assign(layer.style, {
      left: `${(width - across) / 2}px`,
      top: `${(height - down) / 2}px`,
      width: `${across}px`,
      height: `${down}px`,
    });
  });
  fit.observe(shown);
  handle.addEventListener("keydown", (event) => byKey(event, aspect, spot, show));
  const release = byPointer({ shown, layer, aspect, spot, show });

  return {
    handle,
    lay: (at, text) => {
      const { round, x, y, halfWidth, halfHeight } = at;
      handle.classList.toggle("round", round);
      place(handle, x - halfWidth, y - halfHeight);
      handle.style.width = `${200 * halfWidth}%`;
      handle.style.height = `${200 * halfHeight}%`;
      for (const [i, grip] of grips.entries()) {
        const side = SIDES[i] as Side;
        const across = side === "left" ? -halfWidth : side === "right" ? halfWidth : 0;
        const down = side === "top" ? -halfHeight : side === "bottom" ? halfHeight : 0;
        place(grip, x + across, y + down);
      }
      label.textContent = text;
      // Beside the spot, on the side where there is room.
      place(label, x, y < 0.5 ? y + halfHeight : y - halfHeight);
      label.style.translate = `-50% ${y < 0.5 ? "12px" : "calc(-100% - 12px)"}`;
    },
    remove: () => {
      fit.disconnect();
      release();
      layer.remove();
    },
  };
}

function place({ style }: HTMLElement, x: number, y: number): void {
  style.left = `${100 * x}%`;
  style.top = `${100 * y}%`;
}

function byKey(
  event: KeyboardEvent,
  aspect: number,
  spot: () => SpotShape,
  show: (spot: SpotShape) => void,
): void {
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
  event.stopPropagation();
  show({ ...spot(), ...change });
}

function byPointer({
  shown,
  layer,
  aspect,
  spot,
  show,
}: {
  readonly shown: HTMLElement;
  readonly layer: HTMLElement;
  readonly aspect: number;
  readonly spot: () => SpotShape;
  readonly show: (spot: SpotShape) => void;
}): () => void {
  const press = (event: PointerEvent): void => {
    if (event.button !== 0) return;
    event.preventDefault();
    layer.querySelector<HTMLElement>(".spot")?.focus({ preventScroll: true });
    shown.setPointerCapture(event.pointerId);
    // The picture stays where it is while the pointer is down.
    const box = layer.getBoundingClientRect();
    const at = (moved: PointerEvent): { x: number; y: number } => ({
      x: (moved.clientX - box.left) / box.width,
      y: (moved.clientY - box.top) / box.height,
    });
    const target = event.target as HTMLElement;
    const side = target.dataset["side"] as Side | undefined;
    const from = at(event);
    const { x, y } = spot();
    const away = target.closest(".spot") ? { x: x - from.x, y: y - from.y } : { x: 0, y: 0 };
    const move = (moved: PointerEvent): void => {
      const to = at(moved);
      show(
        side ? pulled(spot(), side, to, aspect) : { ...spot(), x: to.x + away.x, y: to.y + away.y },
      );
    };
    if (!side) move(event);
    shown.addEventListener("pointermove", move);
    shown.addEventListener(
      "lostpointercapture",
      () => shown.removeEventListener("pointermove", move),
      { once: true },
    );
  };
  shown.addEventListener("pointerdown", press);
  return () => shown.removeEventListener("pointerdown", press);
}
