import type { WallFrame } from "../wallData.ts";
import { element } from "./element.ts";
import { button, isSmallAlone, pictureOf } from "./wallScreens.ts";

/** Said where a report is split over several pages, and this one is their index. */
const SMALL_ALONE =
  "This page has small pictures only. For large ones, open a page of frames and press P there.";

/** The list from which the speaker picks, in the order in which the frames are to be shown. */
export function wallPicker({
  frames,
  picked: before,
  onPick,
  begin,
  leave,
}: {
  readonly frames: readonly WallFrame[];
  readonly picked: readonly WallFrame[];
  readonly onPick: (picked: readonly WallFrame[]) => void;
  readonly begin: (picked: readonly WallFrame[]) => void;
  readonly leave: () => void;
}): readonly Node[] {
  let picked = [...before];
  const boxes = new Map<
    WallFrame,
    { readonly box: HTMLInputElement; readonly place: HTMLElement }
  >();
  const status = element("p", { role: "status" });
  const tell = (): void => {
    for (const [frame, { box, place }] of boxes) {
      const at = picked.indexOf(frame);
      box.checked = at >= 0;
      place.textContent = at >= 0 ? String(at + 1) : "";
    }
    status.textContent =
      picked.length === 0 ? `All ${frames.length}` : `${picked.length} of ${frames.length}`;
    onPick(picked);
  };
  const choose = (chosen: readonly WallFrame[]): void => {
    picked = [...chosen];
    tell();
  };
  const items = frames.map((frame) => {
    const box = element("input", { type: "checkbox" });
    const place = element("span", { class: "wall-place", "aria-hidden": "true" });
    boxes.set(frame, { box, place });
    box.addEventListener("change", () =>
      choose(box.checked ? [...picked, frame] : picked.filter((other) => other !== frame)),
    );
    const image = pictureOf(frame.data.id, frame.data.number);
    return element(
      "li",
      {},
      element(
        "label",
        {},
        ...(image ? [element("img", { src: image, alt: "", loading: "lazy" })] : []),
        element("span", {}, box, ` ${frame.label}`),
        place,
      ),
    );
  });
  const start = button("Begin", null, () => begin(picked.length > 0 ? picked : frames));
  start.setAttribute("data-first", "");
  const misses = frames.filter(
    ({ data: { verdict, byDesign } }) => (verdict === "over" || verdict === "under") && !byDesign,
  );
  tell();
  return [
    element(
      "header",
      {},
      element("h2", {}, "On the wall"),
      status,
      element(
        "p",
        { class: "wall-ways" },
        start,
        ...(misses.length > 0 ? [button("Misses", null, () => choose(misses))] : []),
        button("None", null, () => choose([])),
        button("✕", "Leave the wall", leave),
      ),
    ),
    ...(frames.some(isSmallAlone) ? [element("p", { class: "wall-note" }, SMALL_ALONE)] : []),
    element("ul", { class: "wall-list" }, ...items),
  ];
}
