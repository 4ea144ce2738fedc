import { crc32, deflateSync } from "node:zlib";

/** A JPEG of header segments only: metadata readers stop at the scan anyway. */
export function jpegFixture(...segments: readonly Uint8Array[]): Uint8Array {
  const end = Buffer.from([0xff, 0xda, 0x00, 0x02, 0xff, 0xd9]);
  return Buffer.concat([Buffer.from([0xff, 0xd8]), ...segments, end]);
}

/** An APP1 segment: a signature and its payload. */
export function app1(signature: string, payload: Uint8Array | string): Uint8Array {
  const body = Buffer.concat([Buffer.from(signature, "latin1"), Buffer.from(payload)]);
  const head = Buffer.from([0xff, 0xe1, 0, 0]);
  head.writeUInt16BE(body.length + 2, 2);
  return Buffer.concat([head, body]);
}

export const exifSegment = (tiff: Uint8Array): Uint8Array => app1("Exif\0\0", tiff);

export const xmpSegment = (packet: string): Uint8Array =>
  app1("http://ns.adobe.com/xap/1.0/\0", packet);

/** An APP13 segment of image resources: an empty one of another kind, then IPTC records with these keywords. */
export function iptcSegment(...keywords: readonly Uint8Array[]): Uint8Array {
  const dataSets = keywords.flatMap((keyword) => [
    Uint8Array.of(0x1c, 2, 25, keyword.length >> 8, keyword.length & 0xff),
    keyword,
  ]);
  const record = Buffer.concat([
    Uint8Array.of(0x1c, 1, 90, 0, 3),
    Buffer.from("\x1b%G"),
    ...dataSets,
  ]);
  const length = Buffer.alloc(4);
  length.writeUInt32BE(record.length);
  const other = Buffer.from("8BIM\x04\x0c\x01n\0\0\0\x03abc\0", "latin1");
  const head = Buffer.from("8BIM\x04\x04\0\0", "latin1");
  const segment = app1("Photoshop 3.0\0", Buffer.concat([other, head, length, record]));
  segment[1] = 0xed;
  return segment;
}

/** A part of an extended packet. */
export function extendedXmpSegment(
  guid: string,
  part: string,
  full: number,
  at: number,
): Uint8Array {
  const numbers = Buffer.alloc(8);
  numbers.writeUInt32BE(full, 0);
  numbers.writeUInt32BE(at, 4);
  const payload = Buffer.concat([Buffer.from(guid, "latin1"), numbers, Buffer.from(part)]);
  return app1("http://ns.adobe.com/xmp/extension/\0", payload);
}

/** A PNG of these chunks between IHDR and IEND. */
export function pngFixture(
  ...chunks: readonly (readonly [type: string, data: Uint8Array])[]
): Uint8Array {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(1, 0);
  header.writeUInt32BE(1, 4);
  const all = [["IHDR", header] as const, ...chunks, ["IEND", Buffer.alloc(0)] as const];
  const parts = all.map(([type, data]) => {
    const length = Buffer.alloc(4);
    length.writeUInt32BE(data.length);
    const summed = Buffer.concat([Buffer.from(type, "latin1"), data]);
    const sum = Buffer.alloc(4);
    sum.writeUInt32BE(crc32(summed));
    return Buffer.concat([length, summed, sum]);
  });
  return Buffer.concat([Buffer.from("\x89PNG\r\n\x1a\n", "latin1"), ...parts]);
}

/** Text chunk data: `tEXt`, or compressed for `zTXt` and `iTXt`. */
export function pngText(type: "tEXt" | "zTXt" | "iTXt", keyword: string, text: string): Uint8Array {
  const key = Buffer.from(`${keyword}\0`, "latin1");
  if (type === "tEXt") return Buffer.concat([key, Buffer.from(text, "latin1")]);
  const between = type === "zTXt" ? Buffer.from([0]) : Buffer.from([1, 0, 0, 0]);
  return Buffer.concat([key, between, deflateSync(Buffer.from(text))]);
}

/** The hexadecimal form in which Exif was put into PNG texts. */
export function rawProfile(name: string, bytes: Uint8Array): string {
  const digits = Buffer.from(bytes).toString("hex").replaceAll(/.{72}/g, "$&\n");
  return `\n${name}\n${String(bytes.length).padStart(8)}\n${digits}\n`;
}

/** A WebP of these chunks. */
export function webpFixture(
  ...chunks: readonly (readonly [type: string, data: Uint8Array])[]
): Uint8Array {
  const parts = chunks.map(([type, data]) => {
    const head = Buffer.from(`${type}\0\0\0\0`, "latin1");
    head.writeUInt32LE(data.length, 4);
    return Buffer.concat([head, data, Buffer.alloc(data.length % 2)]);
  });
  const body = Buffer.concat([Buffer.from("WEBP", "latin1"), ...parts]);
  const head = Buffer.from("RIFF\0\0\0\0", "latin1");
  head.writeUInt32LE(body.length, 4);
  return Buffer.concat([head, body]);
}

/** A box of an ISO base media file. */
export function box(type: string, ...payload: readonly Uint8Array[]): Uint8Array {
  const body = Buffer.concat(payload);
  const head = Buffer.from(`\0\0\0\0${type}`, "latin1");
  head.writeUInt32BE(body.length + 8, 0);
  return Buffer.concat([head, body]);
}

/** Big-endian numbers: pairs of a value and its length in bytes. */
export function numbers(
  ...pairs: readonly (readonly [value: number, bytes: number])[]
): Uint8Array {
  return Buffer.concat(
    pairs.map(([value, bytes]) => {
      const buffer = Buffer.alloc(bytes);
      for (let at = bytes - 1, rest = value; at >= 0; at--, rest = Math.floor(rest / 256)) {
        buffer[at] = rest % 256;
      }
      return buffer;
    }),
  );
}

/** What a HEIF fixture holds besides its primary picture, item 1. */
export interface HeifContents {
  readonly exif?: Uint8Array;
  readonly xmp?: string;
  /** Exif of another picture, listed before the primary's own. */
  /** An Exif item of no bytes, as programs leave that strip metadata. */
  readonly emptiedExif?: true;
  readonly otherExif?: Uint8Array;
  /** Quarter turns of the container's own rotation. */
  readonly quarterTurns?: number;
  /** Whether the items lie inside the `meta` box, instead of after it. */
  readonly inIdat?: boolean;
}

/** A HEIF file of this brand: its metadata items, and no picture. */
export function heifFixture(brand: string, contents: HeifContents): Uint8Array {
  const items: { id: number; type: string; data: Buffer; of: number }[] = [];
  const exifItem = (id: number, tiff: Uint8Array, of: number) =>
    items.push({
      id,
      type: "Exif",
      data: Buffer.concat([numbers([6, 4]), Buffer.from("Exif\0\0"), tiff]),
      of,
    });
  if (contents.otherExif) exifItem(9, contents.otherExif, 2);
  if (contents.exif) exifItem(3, contents.exif, 1);
  if (contents.xmp) items.push({ id: 4, type: "mime", data: Buffer.from(contents.xmp), of: 1 });

  if (contents.emptiedExif) items.push({ id: 3, type: "Exif", data: Buffer.alloc(0), of: 1 });

  const infe = items.map(({ id, type }) => {
    const name = type === "mime" ? "\0application/rdf+xml\0" : "\0";
    return box(
      "infe",
      numbers([2 << 24, 4], [id, 2], [0, 2]),
      Buffer.from(`${type}${name}`, "latin1"),
    );
  });
  const references = items.map(({ id, of }) => box("cdsc", numbers([id, 2], [1, 2], [of, 2])));
  const rotation = box("irot", numbers([contents.quarterTurns ?? 0, 1]));
  const association = box("ipma", numbers([0, 4], [1, 4], [1, 2], [1, 1], [1, 1]));
  const data = items.map((item) => item.data);
  const metaAt = (dataAt: number) => {
    let at = dataAt;
    const method = contents.inIdat ? 1 : 0;
    const locations = items.map((item) => {
      const start = at;
      at += item.data.length;
      const place = numbers([start, 4], [item.data.length, 4]);
      return Buffer.concat([numbers([item.id, 2], [method, 2], [0, 2], [1, 2]), place]);
    });
    return box(
      "meta",
      numbers([0, 4]),
      box("hdlr", numbers([0, 8]), Buffer.from("pict"), Buffer.alloc(13)),
      box("pitm", numbers([0, 4], [1, 2])),
      box("iinf", numbers([0, 4], [items.length, 2]), ...infe),
      box("iref", numbers([0, 4]), ...references),
      box("iprp", box("ipco", rotation), association),
      box("iloc", numbers([1 << 24, 4], [0x44, 1], [0x00, 1], [items.length, 2]), ...locations),
      ...(contents.inIdat ? [box("idat", ...data)] : []),
    );
  };
  const ftyp = box("ftyp", Buffer.from(`${brand}\0\0\0\0mif1${brand}`, "latin1"));
  if (contents.inIdat) return Buffer.concat([ftyp, metaAt(0)]);
  const dataAt = ftyp.length + metaAt(0).length + 8;
  return Buffer.concat([ftyp, metaAt(dataAt), box("mdat", ...data)]);
}
