import { partOfCard, whenNear } from "./cards.ts";

/** Frames side by side are shown by the large pictures of their cards, where the page has those, once they come near. */
export function sheetPictures(): void {
  whenNear(".sheet .used-thumb", (shown) => {
    const used = shown.querySelector("use");
    const number = /\d{1,9}$/.exec(used?.getAttribute("href") ?? "")?.[0];
    const picture = partOfCard<HTMLImageElement>(`frame-${number}`, ".picture img");
    if (!used || !picture) return;
    const image = document.createElementNS("http://www.w3.org/2000/svg", "image");
    for (const [name, value] of Object.entries({ width: "3", height: "2", href: picture.src })) {
      image.setAttribute(name, value);
    }
    // Laid over the small one, which is there until the large one is.
    used.after(image);
  });
}
