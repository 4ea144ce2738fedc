import { partOfCard, whenNear } from "./cards.ts";
import { element } from "./element.ts";

/** Rows show the card's own picture, small, once they come near: it is in the page once. */
export function rowThumbs(): void {
  whenNear(".row-thumb", (place) => {
    const id = place.closest(".frame")?.id ?? "";
    const picture = partOfCard<HTMLImageElement>(id, ".picture img");
    if (picture) {
      place.replaceChildren(element("img", { src: picture.src, alt: "", decoding: "async" }));
    }
  });
}
