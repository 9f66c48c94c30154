import { Command, CommanderError, Option } from 'commander';
import {
  type Diagnostic,
  defaultsOf,
  type OptionDefinitions,
  type OptionValues,
  Refusal,
} from '../../shared/contract/index.ts';
import {
  collectSettings,
  defaultSentence,
  type Given,
  placeholder,
  resolveSettings,
  type Setting,
} from '../../shared/engine/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { VERSION } from '../version.ts';
import { HELP_FOOTER } from './cautions.ts';

export interface CommandShape {
  readonly name: string;
  readonly summary: string;
  /** Positional arguments; the name is written as in `<waypoints...>`. */
  readonly argument?: { readonly name: string; readonly help: string };
  /** Text printed after the options; `HELP_FOOTER` by default. */
  readonly footer?: string;
}

/** Thrown after help or version was printed. */
class HelpShown extends Error {
  override readonly name = 'HelpShown';
}

/**
 * Reads the positional arguments and options of one command, with values still as text.
 *
 * Help does not list flags `PLUGIN.OPTION`, but they are accepted.
 * @throws Refusal (status 2) for a wrong command line; HelpShown after `--help` or `--version`.
 */
export function parseCommandLine(
  shape: CommandShape,
  settings: ReadonlyMap<string, Setting>,
  argv: readonly string[],
): { readonly positionals: readonly string[]; readonly given: readonly Given[] } {
  const command = new Command(`downslope ${shape.name}`)
    .description(shape.summary)
    .version(VERSION, '-V, --version', 'print the version')
    .exitOverride();
  command.configureOutput({ writeErr: () => {} });
  if (shape.argument !== undefined) command.argument(shape.argument.name, shape.argument.help);
  command.addHelpText('after', `\n${shape.footer ?? HELP_FOOTER}`);
  const given: Given[] = [];
  for (const setting of settings.values()) {
    if (setting.definition.kind === 'switch') addSwitch(command, setting, given);
    else command.addOption(commanderOption(setting, given));
  }
  try {
    command.parse([...argv], { from: 'user' });
  } catch (cause) {
    throw cause instanceof CommanderError ? explain(cause, shape, settings, command.args) : cause;
  }
  return { positionals: command.args, given };
}

/** Reads the positional arguments and option values of a command that has only options of its own. */
export function parseOwnOptions<O extends OptionDefinitions>(
  shape: CommandShape,
  options: O,
  argv: readonly string[],
): { readonly positionals: readonly string[]; readonly values: OptionValues<O> } {
  const settings = collectSettings([{ owner: shape.name, heading: 'Options:', options }]);
  const { positionals, given } = parseCommandLine(shape, settings, argv);
  const values = { ...defaultsOf(options), ...resolveSettings(settings, given, 'm', '').get(shape.name) };
  return { positionals, values: values as OptionValues<O> };
}

function commanderOption({ flag, definition, heading }: Setting, given: Given[]): Option {
  const isVariadic = definition.kind === 'list' && definition.isVariadic === true;
  const value = isVariadic ? '<paths...>' : placeholder(definition).replace('...', '');
  const option = new Option(`--${flag} ${value}`, `${definition.help}${defaultSentence(definition)}`);
  option.helpGroup(heading).hideHelp(flag.includes('.'));
  const take = (text: string): string => {
    // Commander takes the next word as the value, even if the word is an option.
    if (text.startsWith('--')) throw new Refusal([says['command-line no-value'](undefined, option.flags)], 2);
    // All values of a flag are kept together: they are one list, or more than the option takes.
    const known = given.findIndex((each) => each.flag === flag);
    const texts = known < 0 ? [text] : [...given[known].texts, text];
    given.splice(known < 0 ? given.length : known, 1, { flag, texts, wording: `--${flag}` });
    return text;
  };
  return option.argParser(take);
}

/** Adds `--flag` and `--no-flag`. Help shows only the flag that changes the default. */
function addSwitch(command: Command, { flag, definition, heading }: Setting, given: Given[]): void {
  for (const [name, text] of [
    [flag, 'on'],
    [`no-${flag}`, 'off'],
  ]) {
    const isDefault = definition.default === (text === 'on');
    const help =
      text === 'on'
        ? definition.help
        : `Do not ${definition.help[0].toLowerCase()}${definition.help.slice(1)}`;
    command.addOption(
      new Option(`--${name}`, help).helpGroup(heading).hideHelp(isDefault || flag.includes('.')),
    );
    command.on(`option:${name}`, () => given.push({ flag, texts: [text], wording: `--${name}` }));
  }
}

function explain(
  { code, exitCode, message }: CommanderError,
  { name, argument }: CommandShape,
  settings: ReadonlyMap<string, Setting>,
  positionals: readonly string[],
): Error {
  if (exitCode === 0) return new HelpShown();
  const refuse = (said: Diagnostic): Refusal => new Refusal([said], 2);
  const quoted = /'([^']+)'/s.exec(message)?.[1] ?? '';
  if (code === 'commander.optionMissingArgument')
    return refuse(says['command-line no-value'](undefined, quoted));
  if (code === 'commander.missingArgument' && argument !== undefined)
    return refuse(says['command-line no-argument'](undefined, name, argument.name, argument.help));
  if (code === 'commander.excessArguments')
    return refuse(says['command-line too-many'](undefined, name, positionals));
  const [, flag] = /^--(?:no-)?([^=]+)=/.exec(quoted) ?? [];
  if (settings.get(flag)?.definition.kind === 'switch')
    return refuse(says['command-line switch'](undefined, quoted.split('=')[0]));
  const near = /\(Did you mean (?:one of )?([^)]*)\?\)/s.exec(message)?.[1];
  return refuse(says.unknown(undefined, quoted, near, name));
}
