import { XMLParser } from "fast-xml-parser";

/**
 * Properties of a packet by path, such as `exif:FNumber` or, for a member of a structure,
 * `exif:Flash/exif:Fired`; several texts where the property is an array. Structures in an array
 * are numbered: `Iptc4xmpExt:ImageRegion[0]/Iptc4xmpExt:Name`.
 */
export type XmpProperties = ReadonlyMap<string, readonly string[]>;

/** The namespaces that hold exposure facts, keywords and regions, by the prefix used in this package. Files may bind others. */
const NAMESPACES: ReadonlyMap<string, string> = new Map([
  ["http://ns.adobe.com/exif/1.0/", "exif"],
  ["http://cipa.jp/exif/1.0/", "exifEX"],
  ["http://ns.adobe.com/tiff/1.0/", "tiff"],
  ["urn:tonefall:made-frame:1", "tonefall"],
  ["http://ns.adobe.com/xap/1.0/", "xmp"],
  ["http://ns.adobe.com/photoshop/1.0/", "photoshop"],
  ["http://purl.org/dc/elements/1.1/", "dc"],
  ["http://iptc.org/std/Iptc4xmpExt/2008-02-29/", "Iptc4xmpExt"],
  ["http://www.metadataworkinggroup.com/schemas/regions/", "mwg-rs"],
  ["http://ns.adobe.com/xmp/sType/Area#", "stArea"],
  ["http://ns.adobe.com/xmp/sTypeArea#", "stArea"], // as some programs write it
  ["http://ns.adobe.com/xap/1.0/sType/Dimensions#", "stDim"],
  ["http://www.w3.org/1999/02/22-rdf-syntax-ns#", "rdf"],
]);

/** An element as the parser gives it: one key with its children, and its attributes under `:@`. */
interface XmlNode {
  readonly [name: string]: readonly XmlNode[] | Readonly<Record<string, string>> | string;
}

/** Prefixes declared on an element, linked to those around it, since a hostile file can make copies costly. */
interface Prefixes {
  readonly declared: ReadonlyMap<string, string>;
  readonly outer: Prefixes | null;
}

const ATTRIBUTES = ":@";
const TEXT = "#text";

/** Arrays of exposure facts have at most four members; arrays of words may be as long as a packet allows. */
const MOST_ITEMS = 8;
const LONG_ARRAYS: ReadonlySet<string> = new Set(["dc:subject", "Iptc4xmpExt:PersonInImage"]);

/** Made with the first packet: most runs of a command that links it read none. */
function newParser(): XMLParser {
  return new XMLParser({
    preserveOrder: true,
    ignoreAttributes: false,
    attributeNamePrefix: "",
    parseTagValue: false,
    parseAttributeValue: false,
    ignoreDeclaration: true,
    ignorePiTags: true,
    htmlEntities: true, // also decodes numeric references
  });
}

let parser: XMLParser | undefined;

/**
 * Reads the exposure-related properties of an XMP packet, in any of the forms RDF allows:
 * attributes or elements, structures in either notation, `Seq`, `Bag` and `Alt` arrays.
 *
 * The first statement about a property counts as a whole: members of two statements are never mixed.
 *
 * @throws Error when the text is not XML
 * @see [XMP, serialisation]
 */
export function parseXmp(text: string): XmpProperties {
  const reading: Reading = { properties: new Map(), stated: new Set(), items: new Map() };
  parser ??= newParser();
  const document = parser.parse(text.slice(text.indexOf("<"))) as readonly XmlNode[];
  visit(document, null, null, reading);
  return reading.properties;
}

/** The structures of an array, in order, each as properties of its own. */
export function itemsOf(properties: XmpProperties, array: string): XmpProperties[] {
  const items: Map<string, readonly string[]>[] = [];
  for (const [path, texts] of properties) {
    if (!path.startsWith(`${array}[`)) continue;
    const end = path.indexOf("]/", array.length);
    const index = Number(path.slice(array.length + 1, end));
    items[index] ??= new Map();
    items[index].set(path.slice(end + 2), texts);
  }
  return Array.from(items, (item) => item ?? new Map()); // text between structures counts as one without members
}

/** What has been read of a packet so far. */
interface Reading {
  readonly properties: Map<string, string[]>;
  /** Paths of the elements read. */
  readonly stated: Set<string>;
  /** Items read of each array. */
  readonly items: Map<string, number>;
}

/**
 * Walks elements. `path` is the property they belong to: empty in a description, null outside of
 * `rdf:RDF`, where there are only wrappers.
 */
function visit(
  nodes: readonly XmlNode[],
  path: string | null,
  outer: Prefixes | null,
  reading: Reading,
): void {
  const { properties, stated, items } = reading;
  for (const node of nodes) {
    const element = elementOf(node);
    if (element === null) continue;
    const { attributes, children } = element;
    const prefixes = withDeclarations(outer, attributes);
    const name = knownName(element.name, prefixes);
    if (path === null) {
      visit(children, name === "rdf:RDF" ? "" : null, prefixes, reading);
      continue;
    }
    if (name === null) continue; // another property: skipped with all that it holds
    const isStructure = name.startsWith("rdf:"); // descriptions, arrays and their items
    const isItem = name === "rdf:li";
    const place = isStructure ? path : joined(path, name);
    if (!isStructure) {
      if (stated.has(place)) continue;
      stated.add(place);
    }
    const index = items.get(path) ?? 0;
    if (isItem) items.set(path, index + 1);
    const here = isItem ? `${path}[${index}]` : place;
    for (const [attribute, value] of Object.entries(attributes)) {
      const member = knownName(attribute, prefixes);
      if (member !== null && !member.startsWith("rdf:")) {
        add(properties, joined(here, member), value);
      }
    }
    const content = isStructure && !isItem ? "" : textOf(children);
    if (content !== "" && place !== "") add(properties, place, content, isItem);
    // A structure counts as an item even where none of its members is known.
    if (isItem && content === "") add(properties, joined(here, ""), "");
    visit(children, here, prefixes, reading);
  }
}

function add(properties: Map<string, string[]>, path: string, value: string, isItem = false): void {
  const values = properties.get(path);
  if (values === undefined) properties.set(path, [value]);
  else if (isItem && (values.length < MOST_ITEMS || LONG_ARRAYS.has(path))) values.push(value);
}

function joined(path: string, name: string): string {
  return path === "" ? name : `${path}/${name}`;
}

function elementOf(node: XmlNode): {
  name: string;
  children: readonly XmlNode[];
  attributes: Readonly<Record<string, string>>;
} | null {
  const name = Object.keys(node).find((key) => key !== ATTRIBUTES);
  const children = name === undefined ? undefined : node[name];
  if (name === undefined || !Array.isArray(children)) return null;
  return { name, children, attributes: (node[ATTRIBUTES] ?? {}) as Record<string, string> };
}

function textOf(children: readonly XmlNode[]): string {
  return children
    .map((child) => child[TEXT])
    .filter((text) => typeof text === "string")
    .join("")
    .trim();
}

function withDeclarations(
  outer: Prefixes | null,
  attributes: Readonly<Record<string, string>>,
): Prefixes | null {
  const declared = Object.entries(attributes)
    .filter(([name]) => name.startsWith("xmlns:"))
    .map(([name, uri]) => [name.slice("xmlns:".length), uri] as const);
  return declared.length === 0 ? outer : { declared: new Map(declared), outer };
}

/** `exif:FNumber` whatever prefix the file binds, or null outside the known namespaces. */
function knownName(qualified: string, prefixes: Prefixes | null): string | null {
  const [prefix = "", local = ""] = qualified.split(":", 2);
  let scope = prefixes;
  while (scope !== null && !scope.declared.has(prefix)) scope = scope.outer;
  const known = NAMESPACES.get(scope?.declared.get(prefix) ?? "");
  return known === undefined || local === "" ? null : `${known}:${local}`;
}
