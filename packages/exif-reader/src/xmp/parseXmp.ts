import { XMLParser } from "fast-xml-parser";

/**
 * Properties of a packet by path, such as `exif:FNumber` or, for a member of a structure,
 * `exif:Flash/exif:Fired`; several texts where the property is an array.
 */
export type XmpProperties = ReadonlyMap<string, readonly string[]>;

/** The namespaces that hold exposure facts, by the prefix used in this package. Files may bind others. */
const NAMESPACES: ReadonlyMap<string, string> = new Map([
  ["http://ns.adobe.com/exif/1.0/", "exif"],
  ["http://cipa.jp/exif/1.0/", "exifEX"],
  ["http://ns.adobe.com/tiff/1.0/", "tiff"],
  ["http://ns.adobe.com/xap/1.0/", "xmp"],
  ["http://www.w3.org/1999/02/22-rdf-syntax-ns#", "rdf"],
]);

/** An element as the parser gives it: one key with its children, and its attributes under `:@`. */
interface XmlNode {
  readonly [name: string]: readonly XmlNode[] | Readonly<Record<string, string>> | string;
}

/** Prefixes declared on an element, and those around it: a chain, as copying them can be made costly. */
interface Prefixes {
  readonly declared: ReadonlyMap<string, string>;
  readonly outer: Prefixes | null;
}

const ATTRIBUTES = ":@";
const TEXT = "#text";

/** Arrays of exposure facts have four members at most. */
const MOST_ITEMS = 8;

const parser = new XMLParser({
  preserveOrder: true,
  ignoreAttributes: false,
  attributeNamePrefix: "",
  parseTagValue: false,
  parseAttributeValue: false,
  ignoreDeclaration: true,
  ignorePiTags: true,
  htmlEntities: true, // also decodes numeric references
});

/**
 * Reads the exposure-related properties of an XMP packet, in any of the forms RDF allows:
 * attributes or elements, structures in either notation, `Seq`, `Bag` and `Alt` arrays.
 *
 * The first statement about a property counts.
 *
 * @throws Error where the text is not XML
 * @see [XMP, serialisation]
 */
export function parseXmp(text: string): XmpProperties {
  const properties = new Map<string, string[]>();
  const document = parser.parse(text.slice(text.indexOf("<"))) as readonly XmlNode[];
  visit(document, null, null, properties);
  return properties;
}

/**
 * Walks elements. `path` is the property they belong to: empty in a description, null outside of
 * `rdf:RDF`, where there are only wrappers.
 */
function visit(
  nodes: readonly XmlNode[],
  path: string | null,
  outer: Prefixes | null,
  properties: Map<string, string[]>,
): void {
  for (const node of nodes) {
    const element = elementOf(node);
    if (element === null) continue;
    const { attributes, children } = element;
    const prefixes = withDeclarations(outer, attributes);
    const name = knownName(element.name, prefixes);
    if (path === null) {
      visit(children, name === "rdf:RDF" ? "" : null, prefixes, properties);
      continue;
    }
    if (name === null) continue; // a property that is none of ours, with all that it holds
    const isStructure = name.startsWith("rdf:"); // descriptions, arrays and their items
    const here = isStructure ? path : joined(path, name);
    for (const [attribute, value] of Object.entries(attributes)) {
      const member = knownName(attribute, prefixes);
      if (member !== null && !member.startsWith("rdf:")) {
        add(properties, joined(here, member), value);
      }
    }
    const isItem = name === "rdf:li";
    const content = isStructure && !isItem ? "" : textOf(children);
    if (content !== "" && here !== "") add(properties, here, content, isItem);
    visit(children, here, prefixes, properties);
  }
}

function add(properties: Map<string, string[]>, path: string, value: string, isItem = false): void {
  const values = properties.get(path);
  if (values === undefined) properties.set(path, [value]);
  else if (isItem && values.length < MOST_ITEMS) values.push(value);
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
