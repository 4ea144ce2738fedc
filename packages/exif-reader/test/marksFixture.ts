/** Members of a structure by name, as elements with a prefix. */
type Members = Readonly<Record<string, string | number>>;

const element = (name: string, content: string, attributes = ""): string =>
  `<${name}${attributes}>${content}</${name}>`;

const structure = (name: string, content: string): string =>
  element(name, content, ' rdf:parseType="Resource"');

const array = (kind: "Bag" | "Seq" | "Alt", items: readonly string[]): string =>
  element(`rdf:${kind}`, items.join(""));

const members = (prefix: string, values: Members): string =>
  Object.entries(values)
    .map(([name, value]) => element(`${prefix}:${name}`, `${value}`))
    .join("");

/** Keywords as photo managers write them. */
export function keywordsXmp(...keywords: readonly string[]): string {
  const items = keywords.map((keyword) => element("rdf:li", keyword));
  return element("dc:subject", array("Bag", items));
}

/** An IPTC image region: its boundary's members, its corners, and what else it holds. */
export interface IptcFixture {
  readonly boundary: Members;
  readonly vertices?: readonly (readonly [x: number | string, y: number | string])[];
  readonly name?: string;
  readonly more?: string;
}

/** IPTC image regions. */
export function iptcRegionsXmp(...regions: readonly IptcFixture[]): string {
  const items = regions.map(({ boundary, vertices = [], name, more = "" }) => {
    const corners = vertices.map(([x, y]) =>
      structure("rdf:li", members("Iptc4xmpExt", { rbX: x, rbY: y })),
    );
    const outline =
      corners.length === 0 ? "" : element("Iptc4xmpExt:rbVertices", array("Seq", corners));
    const alternatives = array("Alt", [element("rdf:li", name ?? "", ' xml:lang="x-default"')]);
    const named = name === undefined ? "" : element("Iptc4xmpExt:Name", alternatives);
    const shape = members("Iptc4xmpExt", boundary) + outline;
    return structure("rdf:li", structure("Iptc4xmpExt:RegionBoundary", shape) + named + more);
  });
  return element("Iptc4xmpExt:ImageRegion", array("Bag", items));
}

/** What an IPTC image region shows, by an identifier of its kind. */
export function iptcKind(identifier: string): string {
  const identifiers = element("xmp:Identifier", array("Bag", [element("rdf:li", identifier)]));
  return element("Iptc4xmpExt:rCtype", array("Bag", [structure("rdf:li", identifiers)]));
}

/** A region of the Metadata Working Group. */
export interface MwgFixture {
  readonly area: Members;
  readonly type?: string;
  readonly name?: string;
}

/** Regions of the Metadata Working Group, in the notation of attributes that most programs write. */
export function mwgRegionsXmp(
  regions: readonly MwgFixture[],
  appliedTo?: { readonly w: number; readonly h: number },
): string {
  const attributes = (prefix: string, values: Members): string =>
    Object.entries(values)
      .map(([name, value]) => ` ${prefix}:${name}="${value}"`)
      .join("");
  const items = regions.map(({ area, type, name }) => {
    const own = {
      ...(type === undefined ? {} : { Type: type }),
      ...(name === undefined ? {} : { Name: name }),
    };
    const place = `<mwg-rs:Area${attributes("stArea", { unit: "normalized", ...area })}/>`;
    const described = element("rdf:Description", place, attributes("mwg-rs", own));
    return element("rdf:li", described);
  });
  const size = appliedTo
    ? `<mwg-rs:AppliedToDimensions${attributes("stDim", { ...appliedTo, unit: "pixel" })}/>`
    : "";
  return structure("mwg-rs:Regions", `${size}${element("mwg-rs:RegionList", array("Bag", items))}`);
}
