import { inflateSync } from "node:zlib";

/** A page with what it packed, and without the day it was made on. */
export function unpackedPage(page: string): string {
  return page
    .replace(/<time datetime=.*?<\/time>/g, "")
    .replace(/(class="packed">)([^<]*)/g, (_, head: string, packed: string) => {
      return head + inflateSync(Buffer.from(packed, "base64")).toString();
    });
}
