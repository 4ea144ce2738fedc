import { type Command, Help, Option } from "commander";
import { wrapped } from "../output/text/wrapped.ts";

/** Headings of the options in `--help-all`, in their order. */
export const GROUPS = {
  subject: "Subject:",
  measuring: "Measuring:",
  output: "Output:",
  longRuns: "Long runs:",
  limits: "Limits:",
  help: "Help:",
} as const;

const NEEDED_MOST = "Needed most:";
const ORDER: readonly string[] = [NEEDED_MOST, ...Object.values(GROUPS)];

/** What the help of a command says below its options. */
export interface HelpTexts {
  /** Names of the options that everybody needs; `--help` describes these alone. Left out, it describes all. */
  readonly first?: readonly string[];
  /** Command lines with what each does, a few that `--help` shows. */
  readonly examples: string;
  /** What `--help-all` adds: more examples, and what needs explaining. */
  readonly details?: string;
  /** What each exit code means. */
  readonly exitCodes?: string;
}

/** Exit codes that mean the same in every command. */
export const COMMON_CODES =
  "70 an error in Tonefall itself: please report it;\n129 the terminal closed; 130 interrupted (Ctrl-C); 143 terminated";

/**
 * Gives a command its help: `--help` fits a screen, describes the options that everybody needs and names the others;
 * `--help-all` describes all of them, group by group.
 */
export function withHelp(command: Command, texts: HelpTexts): Command {
  const { first } = texts;
  let whole = first === undefined;
  let writing = false;
  const groupOf = (option: Option): string =>
    first?.includes(option.long ?? "") ? NEEDED_MOST : (option.helpGroupHeading ?? GROUPS.output);
  const hidden = (): Option[] =>
    command.options.filter((option) => ![NEEDED_MOST, GROUPS.help].includes(groupOf(option)));
  const isNeeded = (option: Option): boolean => groupOf(option) === NEEDED_MOST;
  command
    .addHelpOption(new Option("-h, --help", "show this help").helpGroup(GROUPS.help))
    .configureHelp({
      // Commander looks at the visible options for the nearest to a mistyped one too: shorten the help alone.
      prepareContext(context) {
        writing = true;
        Help.prototype.prepareContext.call(this, context);
      },
      visibleOptions(of) {
        const options = Help.prototype.visibleOptions.call(this, of);
        return whole || !writing ? options : options.filter(isNeeded);
      },
      optionDescription: describedBy,
      groupItems: (_all, visible, headingOf) => inGroups(visible, headingOf, groupOf),
    })
    .addHelpText("after", () =>
      [
        "",
        ...(whole ? [] : [namesOf(hidden(), groupOf, command)]),
        `Examples:\n${texts.examples}`,
        ...(whole && texts.details !== undefined ? [texts.details] : []),
        ...(texts.exitCodes === undefined ? [] : [`Exit codes: ${texts.exitCodes}`]),
      ]
        .join("\n\n")
        .slice(1),
    );
  if (first === undefined) return command;
  return command
    .addOption(new Option("--help-all", "describe every option").helpGroup(GROUPS.help))
    .on("option:help-all", () => {
      whole = true;
      command.help();
    });
}

/** An option's description with its values and default, in few words. */
function describedBy({
  description,
  argChoices = [],
  defaultValue,
  defaultValueDescription,
}: Option): string {
  const preset = defaultValueDescription ?? (defaultValue === true ? undefined : defaultValue);
  const extra = [
    ...(argChoices.length > 0 ? [argChoices.join(", ")] : []),
    ...(preset === undefined ? [] : [`default: ${preset}`]),
  ];
  return extra.length > 0 ? `${description} (${extra.join("; ")})` : description;
}

/** Options and commands by heading, in the order of the headings. */
function inGroups<Item extends Option | Command>(
  items: readonly Item[],
  headingOf: (item: Item) => string,
  groupOf: (option: Option) => string,
): Map<string, Item[]> {
  const groups = new Map<string, Item[]>();
  for (const item of items) {
    const heading = item instanceof Option ? groupOf(item) : headingOf(item);
    groups.set(heading, [...(groups.get(heading) ?? []), item]);
  }
  const rank = ([heading]: readonly [string, unknown]): number => ORDER.indexOf(heading);
  return new Map([...groups].sort((a, b) => rank(a) - rank(b)));
}

/** The options that are not described, by name. */
function namesOf(
  options: readonly Option[],
  groupOf: (option: Option) => string,
  command: Command,
): string {
  const groups = inGroups(options, groupOf, groupOf);
  const lines = [...groups].map(([heading, group]) => {
    const names = group.map(({ long, short }) => long ?? short);
    return hanging(names.join(" "), `  ${heading.slice(0, -1).padEnd(11)}`);
  });
  return [`More options (${pathOf(command)} --help-all describes them):`, ...lines].join("\n");
}

const LINE = 78;

/** A text of words after a heading, in lines that begin below each other. */
function hanging(text: string, heading: string): string {
  const indent = " ".repeat(heading.length);
  return heading + wrapped(text, LINE - heading.length).replaceAll("\n", `\n${indent}`);
}

function pathOf(command: Command): string {
  return command.parent ? `${pathOf(command.parent)} ${command.name()}` : command.name();
}
