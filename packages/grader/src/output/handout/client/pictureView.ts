import { parseRegion, type Region } from "@tonefall/tone-core";
import { element } from "../../page/client/element.ts";

const SVG = "http://www.w3.org/2000/svg";

/** A picture on neutral grey with its region drawn over it. */
export interface PictureView {
  readonly element: HTMLElement;
  /** Where on the picture a press was, in fractions; called for every press. */
  onPress: ((x: number, y: number) => void) | null;
  /** Whether there is anything to see. */
  isShown(): boolean;
  /** Width over height. */
  aspect(): number;
  showRegion(region: string | null): void;
  /** Shows a picture, and frees it. */
  show(bitmap: ImageBitmap): void;
  /** Frees its memory at once; it shows nothing after that. */
  free(): void;
}

/**
 * A picture as far as the browser can show it, upright; another showing may be set later.
 *
 * @param shown - null where the browser cannot read it: it stays empty until its grader shows it
 */
export function pictureView(shown: Promise<ImageBitmap | null>, name: string): PictureView {
  const canvas = element("canvas", { role: "img", "aria-label": `Your picture ${name}` });
  const overlay = document.createElementNS(SVG, "svg");
  overlay.setAttribute("viewBox", "0 0 1 1");
  overlay.setAttribute("preserveAspectRatio", "none");
  overlay.setAttribute("aria-hidden", "true");
  const frame = element("div", { class: "surround picture" }, canvas, overlay);
  let outlined: string | null = null;
  let freed = false;
  let isShown = false;
  // A circle's outline depends on the picture's shape: it is drawn again when the picture comes.
  const drawOutline = (): void =>
    overlay.replaceChildren(...(outlined ? shapesOf(outlined, canvas) : []));
  const view: PictureView = {
    element: frame,
    onPress: null,
    isShown: () => isShown,
    aspect: () => canvas.width / Math.max(1, canvas.height),
    showRegion: (region) => {
      outlined = region;
      drawOutline();
    },
    show: (bitmap) => {
      if (!freed) {
        isShown = true;
        frame.hidden = false;
        canvas.width = bitmap.width;
        canvas.height = bitmap.height;
        canvas.getContext("2d")?.drawImage(bitmap, 0, 0);
        drawOutline();
      }
      bitmap.close();
    },
    free: () => {
      freed = true;
      canvas.width = 0;
      canvas.height = 0;
    },
  };
  frame.addEventListener("click", (event) => {
    const box = frame.getBoundingClientRect();
    view.onPress?.((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
  });
  void shown.then((bitmap) => bitmap && view.show(bitmap));
  return view;
}

/** A region's outline twice, light upon dark, so that it is seen on any tone. */
function shapesOf(text: string, { width, height }: HTMLCanvasElement): SVGElement[] {
  const region = regionIn(text);
  if (!region) return [];
  return ["outline-under", "outline"].map((name) => {
    const shape = shapeOf(region, width / Math.max(1, height));
    shape.setAttribute("class", name);
    return shape;
  });
}

function regionIn(text: string): Region | null {
  try {
    return parseRegion(text);
  } catch {
    return null;
  }
}

function shapeOf(region: Region, aspect: number): SVGElement {
  const made = (
    name: string,
    attributes: Readonly<Record<string, number | string>>,
  ): SVGElement => {
    const shape = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) shape.setAttribute(key, String(value));
    return shape;
  };
  switch (region.shape) {
    case "whole":
      return made("rect", { x: 0, y: 0, width: 1, height: 1 });
    case "disc": {
      const across = Math.sqrt(region.share / (Math.PI * aspect));
      return made("ellipse", { cx: region.x, cy: region.y, rx: across, ry: across * aspect });
    }
    case "box":
      return made("rect", { x: region.x, y: region.y, width: region.width, height: region.height });
    case "circle":
      return made("ellipse", {
        cx: region.x,
        cy: region.y,
        rx: region.radius,
        ry: region.radius * aspect,
      });
    case "ellipse":
      return made("ellipse", {
        cx: region.x,
        cy: region.y,
        rx: region.radiusX,
        ry: region.radiusY,
      });
    case "polygon":
      return made("polygon", { points: region.points.map(({ x, y }) => `${x},${y}`).join(" ") });
  }
}
