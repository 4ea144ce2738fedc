/** A place that was picked in a picture, and the tone that belongs there. */
export interface Pick {
  /** Below the folder that all frames share, or of the set file. */
  readonly file: string;
  /** The frame's name in its set; null where there is no set. */
  readonly setId: string | null;
  /** In text form. */
  readonly region: string;
  /** As typed; empty where the place is to be measured and not judged. */
  readonly place: string;
}

/** A line of a brief file: the frame's name as a glob that matches nothing else, its region and its placement. */
export function briefLine({ file, region, place }: Pick): string {
  const escaped = file.replace(/[\\*?[\]{}()!+@|]/g, "\\$&");
  const glob = escaped.includes("/") ? `**/${escaped}` : escaped;
  const keys = [`region: ${JSON.stringify(region)}`];
  if (place !== "") keys.push(`place: ${JSON.stringify(place)}`);
  return `${JSON.stringify(glob)}: { ${keys.join(", ")} }`;
}

/** A brief file; of several picks in one frame the last stands, since a brief asks for one tone. */
export function briefFile(picks: readonly Pick[]): string {
  const last = new Map(picks.map((pick) => [pick.file, pick]));
  return lines([...last.values()].map(briefLine));
}

/** A set file: every frame with its regions by name, and a claim for each placement. */
export function setFile(picks: readonly Pick[]): string {
  const files = [...new Set(picks.map(({ file }) => file))];
  const ids = new Set<string>();
  const frames = files.flatMap((file) => {
    const ofFile = picks.filter((pick) => pick.file === file);
    const named = ofFile.map((pick, i) => ({ ...pick, name: `pick-${i + 1}` }));
    const regions = named.map(({ name, region }) => `${name}: ${JSON.stringify(region)}`);
    const claims = named.flatMap(({ name, place }) =>
      place === "" ? [] : [`      - falls: { region: ${name}, place: ${JSON.stringify(place)} }`],
    );
    return [
      `  ${JSON.stringify(freeId(ofFile[0]?.setId ?? stem(file), ids))}:`,
      `    file: ${JSON.stringify(file)}`,
      `    regions: { ${regions.join(", ")} }`,
      ...(claims.length > 0 ? ["    claims:", ...claims] : []),
    ];
  });
  return lines(["set: Picked by hand", "frames:", ...frames]);
}

function lines(all: readonly string[]): string {
  return all.map((line) => `${line}\n`).join("");
}

function stem(file: string): string {
  return file.replace(/^.*\//, "").replace(/\.[^.]*$/, "");
}

function freeId(wanted: string, taken: Set<string>): string {
  let id = wanted;
  for (let n = 2; taken.has(id); n++) id = `${wanted}-${n}`;
  taken.add(id);
  return id;
}
