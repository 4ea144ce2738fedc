import { expect, test } from "vitest";
import { heifFixture, jpegFixture, pngFixture, webpFixture } from "../test/containerFixtures.ts";
import { type FixtureTag, tiffFixture } from "../test/tiffFixture.ts";
import { xmpFixture } from "../test/xmpFixture.ts";
import { sniffFormat } from "./sniffFormat.ts";

const ascii = (text: string): Uint8Array => Buffer.from(text, "latin1");
const sensor: FixtureTag[] = [
  [0xfe, "LONG", [1]],
  [0x14a, "LONG", [8]],
];

test.each<[string, Uint8Array, string | null]>([
  ["a JPEG", jpegFixture(), "jpeg"],
  ["a PNG", pngFixture(), "png"],
  ["a WebP", webpFixture(), "webp"],
  ["an AVIF", heifFixture("avif", {}), "avif"],
  ["a HEIC", heifFixture("heic", {}), "heic"],
  ["a HEIF of a general brand", heifFixture("mif1", {}), "heic"],
  ["a CR3", ascii("\0\0\0\x18ftypcrx \0\0\0\x01crx isom"), "cr3"],
  ["a film", ascii("\0\0\0\x18ftypisom\0\0\0\x01isommp42"), null],
  ["a TIFF", tiffFixture({}), "tiff"],
  ["a big-endian TIFF", tiffFixture({ littleEndian: false }), "tiff"],
  ["a DNG", tiffFixture({ ifd0: [[0xc612, "BYTE", [1, 4, 0, 0]]] }), "dng"],
  ["a NEF", tiffFixture({ ifd0: [...sensor, [0x10f, "ASCII", "NIKON CORPORATION"]] }), "nef"],
  ["an ARW", tiffFixture({ ifd0: [...sensor, [0x10f, "ASCII", "SONY"]] }), "arw"],
  [
    "a TIFF that a scanner of that maker wrote",
    tiffFixture({ ifd0: [[0x10f, "ASCII", "SONY"]] }),
    "tiff",
  ],
  ["a CR2", ascii("II\x2a\0\x10\0\0\0CR\x02\0"), "cr2"],
  ["an RW2", ascii("IIU\0\x18\0\0\0"), "rw2"],
  ["an ORF", ascii("IIRO\x08\0\0\0"), "orf"],
  ["a RAF", ascii("FUJIFILMCCD-RAW 0201"), "raf"],
  ["an MRW", ascii("\0MRM\0\0\0\0"), "mrw"],
  ["a bare Exif block", ascii("Exif\0\0II\x2a\0"), "exif"],
  ["a GIF", ascii("GIF89a"), "gif"],
  ["a BMP", ascii("BM\x36\0\0\0\0\0\0\0"), "bmp"],
  ["a sidecar", ascii(xmpFixture("")), "xmp"],
  ["XMP behind an XML declaration", ascii('<?xml version="1.0"?>\n<rdf:RDF xmlns:rdf="x">'), "xmp"],
  ["XMP in UTF-16", Buffer.from(`\ufeff<x:xmpmeta xmlns:x="adobe:ns:meta/">`, "utf16le"), "xmp"],
  [
    "a drawing that embeds RDF",
    ascii('<svg xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'),
    null,
  ],
  ["text", ascii("not a picture"), null],
  ["two bytes", ascii("II"), null],
  ["no bytes", ascii(""), null],
])("sniffFormat(bytes) tells %s", (_, bytes, format) => {
  expect(sniffFormat(bytes)).toBe(format);
});
