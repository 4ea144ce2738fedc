import type { CodePoints } from "./cicp.ts";

/**
 * The code points of an AVIF or HEIF picture's primary item.
 *
 * @param head - the file's first bytes, with its `meta` box
 * @returns null where there are none
 * @see [HEIF] ISO/IEC 23008-12 (item properties) and ISO/IEC 14496-12 (`colr`)
 */
export function isobmffColour(head: Uint8Array): CodePoints | null {
  const meta = find(boxes(head), "meta");
  if (!meta) return null;
  const items = boxes(meta.subarray(4));
  const primary = primaryItem(find(items, "pitm"));
  const iprp = find(items, "iprp");
  if (!iprp) return null;
  const properties = boxes(find(boxes(iprp), "ipco") ?? new Uint8Array());
  const wanted = associations(find(boxes(iprp), "ipma"), primary);
  for (const [index, { type, content }] of properties.entries()) {
    if (type !== "colr" || (wanted && !wanted.has(index + 1))) continue;
    if (content.length >= 11 && ascii(content, 0) === "nclx") {
      return { primaries: uint16(content, 4), transfer: uint16(content, 6) };
    }
  }
  return null;
}

interface Box {
  readonly type: string;
  readonly content: Uint8Array;
}

function boxes(bytes: Uint8Array): Box[] {
  const found: Box[] = [];
  let at = 0;
  while (at + 8 <= bytes.length) {
    const stated = uint32(bytes, at);
    // Sizes of 64 bits belong to media data, which comes after what is read here.
    const size = stated === 0 ? bytes.length - at : stated;
    if (size < 8) break;
    found.push({ type: ascii(bytes, at + 4), content: bytes.subarray(at + 8, at + size) });
    at += size;
  }
  return found;
}

function find(list: readonly Box[], type: string): Uint8Array | undefined {
  return list.find((box) => box.type === type)?.content;
}

function primaryItem(pitm: Uint8Array | undefined): number | null {
  if (!pitm || pitm.length < 6) return null;
  return pitm[0] === 0 ? uint16(pitm, 4) : pitm.length >= 8 ? uint32(pitm, 4) : null;
}

/** One-based indices of the properties of an item; null where the file does not tell. */
function associations(ipma: Uint8Array | undefined, item: number | null): Set<number> | null {
  if (!ipma || ipma.length < 8 || item === null) return null;
  const wideItems = (ipma[0] as number) >= 1;
  const wideIndices = ((ipma[3] as number) & 1) === 1;
  let at = 8;
  for (let entry = uint32(ipma, 4); entry > 0 && at + 3 <= ipma.length; entry--) {
    const id = wideItems ? uint32(ipma, at) : uint16(ipma, at);
    at += wideItems ? 4 : 2;
    const count = ipma[at++] ?? 0;
    const indices = new Set<number>();
    for (let i = 0; i < count && at < ipma.length; i++) {
      indices.add(wideIndices ? uint16(ipma, at) & 0x7fff : (ipma[at] as number) & 0x7f);
      at += wideIndices ? 2 : 1;
    }
    if (id === item) return indices;
  }
  return null;
}

function uint16(bytes: Uint8Array, at: number): number {
  return ((bytes[at] ?? 0) << 8) | (bytes[at + 1] ?? 0);
}

function uint32(bytes: Uint8Array, at: number): number {
  return uint16(bytes, at) * 65536 + uint16(bytes, at + 2);
}

function ascii(bytes: Uint8Array, at: number): string {
  return String.fromCharCode(...bytes.subarray(at, at + 4));
}
