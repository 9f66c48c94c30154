import { type OptionDefinition, Refusal } from '../../shared/contract/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { BUILT_IN } from '../run/index.ts';
import { HELP_CAUTIONS } from './cautions.ts';
import { COMMAND_GROUPS, settingsOf } from './command-options.ts';
import { parseCommandLine } from './parse-command-line.ts';

const SHAPE = {
  name: 'completion',
  summary: 'Prints a script that completes commands and options in a shell.',
  argument: { name: '<shell>', help: 'bash, zsh or fish; for bash, run eval "$(downslope completion bash)"' },
  footer: HELP_CAUTIONS,
} as const;

/** Commands that are not in `COMMAND_GROUPS`. Of their options only `--help` is completed. */
const OTHERS = ['batch', 'trust', 'plugins', 'demo', 'schema', 'completion'];

interface CommandWords {
  readonly name: string;
  readonly flags: readonly string[];
  readonly words: readonly (readonly [flag: string, words: readonly string[]])[];
}

const SHELLS: Readonly<Record<string, (commands: readonly CommandWords[]) => string>> = {
  bash,
  // zsh can run the script for bash.
  zsh: (commands) => `autoload -U +X bashcompinit && bashcompinit\n${bash(commands)}`,
  fish,
};

export async function run(argv: readonly string[]): Promise<number> {
  const [shell] = parseCommandLine(SHAPE, new Map(), argv).positionals;
  if (!Object.hasOwn(SHELLS, shell))
    throw new Refusal(
      [says.value(undefined, 'completion', shell, `one of ${Object.keys(SHELLS).join(', ')}`)],
      2,
    );
  process.stdout.write(SHELLS[shell](commandWords()));
  return 0;
}

function commandWords(): CommandWords[] {
  const known = Object.entries(COMMAND_GROUPS).map(([name, groups]): CommandWords => {
    const settings = [...settingsOf(BUILT_IN, groups).values()].filter(({ flag }) => !flag.includes('.'));
    return {
      name,
      flags: settings.flatMap(({ flag, definition }) => flagsOf(flag, definition)),
      words: settings.flatMap(({ flag, definition }) =>
        definition.kind === 'choice' ? [[`--${flag}`, definition.choices] as const] : [],
      ),
    };
  });
  return [...known, ...OTHERS.map((name) => ({ name, flags: ['--help'], words: [] }))];
}

const flagsOf = (flag: string, definition: OptionDefinition): string[] =>
  definition.kind === 'switch' && definition.default ? [`--no-${flag}`] : [`--${flag}`];

/** Makes the script for bash. Where no word is known, bash completes file names. */
function bash(commands: readonly CommandWords[]): string {
  const cases = commands.map(({ name, flags, words }) => {
    const choices = words.map(
      ([flag, list]) => `        ${flag}) COMPREPLY=($(compgen -W "${list.join(' ')}" -- "$word")); return;;`,
    );
    return [
      `    ${name})`,
      ...(choices.length === 0 ? [] : ['      case "$before" in', ...choices, '      esac']),
      `      flags="${flags.join(' ')}";;`,
    ].join('\n');
  });
  return `_downslope() {
  local word="\${COMP_WORDS[COMP_CWORD]}" before="\${COMP_WORDS[COMP_CWORD-1]}" flags=""
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W "${commands.map(({ name }) => name).join(' ')}" -- "$word")); return
  fi
  case "\${COMP_WORDS[1]}" in
${cases.join('\n')}
  esac
  if [[ "$word" == -* ]]; then COMPREPLY=($(compgen -W "$flags --help" -- "$word")); fi
}
complete -o default -F _downslope downslope
`;
}

function fish(commands: readonly CommandWords[]): string {
  const names = commands.map(({ name }) => name).join(' ');
  const lines = commands.flatMap(({ name, flags, words }) =>
    flags.map((flag) => {
      const choices = words.find(([known]) => known === flag)?.[1];
      const follow = choices === undefined ? '' : ` -x -a "${choices.join(' ')}"`;
      return `complete -c downslope -n "__fish_seen_subcommand_from ${name}" -l ${flag.slice(2)}${follow}`;
    }),
  );
  return [`complete -c downslope -n __fish_use_subcommand -f -a "${names}"`, ...lines, ''].join('\n');
}
