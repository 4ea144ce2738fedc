/** What a shell can complete after a command. */
export interface CompletedCommand {
  /** The names that lead to it; empty for `tonefall` itself. */
  readonly path: readonly string[];
  readonly subcommands: readonly { readonly name: string; readonly summary: string }[];
  /** Words that its argument may be; empty where it takes files. */
  readonly arguments: readonly string[];
  readonly options: readonly {
    /** Such as `-f` and `--format`. */
    readonly names: readonly string[];
    readonly description: string;
    readonly takesValue: boolean;
    /** Empty where it takes a file or free text. */
    readonly values: readonly string[];
  }[];
}

/** Shells that can complete. */
export type Shell = "bash" | "zsh" | "fish";

/** What makes the script of each shell. */
export const SHELLS: Readonly<Record<Shell, (commands: readonly CompletedCommand[]) => string>> = {
  bash,
  zsh,
  fish,
};

/**
 * The commands as the cases of a POSIX shell: each lists its words, and the values of the options that have some.
 * Bash and zsh share them, since zsh runs bash's completions.
 */
function cases(commands: readonly CompletedCommand[]): string {
  return commands
    .map(({ path, subcommands, arguments: words, options }) => {
      const flags = options.flatMap(({ names }) => names.slice(-1));
      const values = options
        .filter(({ takesValue }) => takesValue)
        .map(
          ({ names, values }) =>
            `        ${names.join("|")}) values="${values.join(" ")}"; free=1 ;;`,
        );
      const known = [...subcommands.map(({ name }) => name), ...words];
      return `    "${path.join(" ")}")
      choices="${known.join(" ")}"
      flags="${flags.join(" ")}"
      case "$previous" in
${[...values, "        *) ;;"].join("\n")}
      esac ;;`;
    })
    .join("\n");
}

/**
 * Finds the command among the words typed so far, and sets what may follow it.
 *
 * @param typed - the shell's own expression for those words
 */
function commandCases(commands: readonly CompletedCommand[], typed: string): string {
  const paths = commands
    .filter(({ path }) => path.length > 0)
    .map(({ path }) => `"${path.join(" ")}"`);
  return `  local command="" choices="" flags="" values="" free="" word
  for word in ${typed}; do
    case "\${command:+$command }$word" in
      ${paths.join("|")}) command="\${command:+$command }$word" ;;
    esac
  done
  case "$command" in
${cases(commands)}
  esac`;
}

/** Bash's expression for the words before the one that is completed. */
const COMP_WORDS_BEFORE = `"\${COMP_WORDS[@]:1:COMP_CWORD-1}"`;

function bash(commands: readonly CompletedCommand[]): string {
  return `# Completion of tonefall for bash. Made by: tonefall completion bash
_tonefall() {
  local current="\${COMP_WORDS[COMP_CWORD]}" previous="\${COMP_WORDS[COMP_CWORD-1]}"
${commandCases(commands, COMP_WORDS_BEFORE)}
  COMPREPLY=()
  if [ -n "$free" ]; then
    COMPREPLY=($(compgen -W "$values" -- "$current"))
    [ -n "$values" ] && return
  elif [ "\${current:0:1}" = "-" ]; then
    COMPREPLY=($(compgen -W "$flags" -- "$current"))
    return
  elif [ -n "$choices" ]; then
    COMPREPLY=($(compgen -W "$choices" -- "$current"))
    return
  fi
  compopt -o filenames 2>/dev/null
  local IFS=$'\\n'
  COMPREPLY=($(compgen -f -- "$current"))
}
complete -F _tonefall tonefall
`;
}

function zsh(commands: readonly CompletedCommand[]): string {
  return `#compdef tonefall
# Completion of tonefall for zsh. Made by: tonefall completion zsh
_tonefall() {
  local current="\${words[CURRENT]}" previous="\${words[CURRENT-1]}" typed=("\${(@)words[2,CURRENT-1]}")
${commandCases(commands, "$typed")}
  if [[ -n "$free" ]]; then
    if [[ -n "$values" ]]; then compadd -- \${=values}; else _files; fi
  elif [[ "$current" == -* ]]; then
    compadd -- \${=flags}
  elif [[ -n "$choices" ]]; then
    compadd -- \${=choices}
  else
    _files
  fi
}
if [ "$funcstack[1]" = "_tonefall" ]; then _tonefall "$@"; else compdef _tonefall tonefall; fi
`;
}

function fish(commands: readonly CompletedCommand[]): string {
  const lines = commands.flatMap(({ path, subcommands, arguments: words, options }) => {
    const here = condition(
      path,
      subcommands.map(({ name }) => name),
    );
    return [
      ...subcommands.map(
        ({ name, summary }) =>
          `complete -c tonefall -n ${here} -f -a ${name} -d ${quoted(summary)}`,
      ),
      ...(words.length > 0
        ? [`complete -c tonefall -n ${here} -f -a ${quoted(words.join(" "))}`]
        : []),
      ...options.map(({ names, description, takesValue, values }) => {
        const spelt = names.map((name) =>
          name.startsWith("--") ? `-l ${name.slice(2)}` : `-s ${name.slice(1)}`,
        );
        const value =
          values.length > 0 ? ` -x -a ${quoted(values.join(" "))}` : takesValue ? " -r" : "";
        return `complete -c tonefall -n ${here} ${spelt.join(" ")}${value} -d ${quoted(description)}`;
      }),
    ];
  });
  return `# Completion of tonefall for fish. Made by: tonefall completion fish
${lines.join("\n")}
`;
}

/** Holds where a command has been typed and none of those within it. */
function condition(path: readonly string[], within: readonly string[]): string {
  const seen = path.map((name) => `__fish_seen_subcommand_from ${name}`);
  const unseen = within.map((name) => `not __fish_seen_subcommand_from ${name}`);
  return quoted([...seen, ...unseen].join("; and ") || "true");
}

function quoted(text: string): string {
  return `'${text.replace(/\\/g, "\\\\").replace(/'/g, "\\'")}'`;
}
