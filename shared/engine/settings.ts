import {
  type DisplayUnits,
  fromMeters,
  type LengthUnit,
  METERS_PER_SECOND_PER,
  type OptionDefinition,
  type OptionDefinitions,
  Refusal,
} from '../contract/index.ts';
import { optionMessages as says } from '../text/index.ts';
import { durationText, parseOptionValue, siSuffix } from './parse-value.ts';

/** The options of one owner: a plugin, or a part of the program. */
export interface OptionGroup {
  readonly owner: string;
  readonly options: OptionDefinitions;
  /** Heading in `--help`. */
  readonly heading?: string;
}

/** A flag, with all the options that it sets. */
export interface Setting {
  /** Flag without its leading dashes: the short flag of an option, or `OWNER.OPTION`. */
  readonly flag: string;
  readonly definition: OptionDefinition;
  readonly heading: string;
  readonly targets: readonly { readonly owner: string; readonly option: string }[];
}

const PLAN_HEADING = 'The plan:';

/**
 * Collects every setting by flag: `OWNER.OPTION` (in kebab case) for each option, and the short flags.
 *
 * A short flag (`OptionBase.flag`) is one setting for all owners that share its definition.
 */
export function collectSettings(groups: readonly OptionGroup[]): Map<string, Setting> {
  const settings = new Map<string, Setting>();
  for (const { owner, options, heading = PLAN_HEADING } of groups) {
    for (const [option, definition] of Object.entries(options)) {
      for (const flag of [pluginFlag(owner, option), definition.flag]) {
        if (flag === undefined) continue;
        const known = settings.get(flag);
        const targets = [...(known?.targets ?? []), { owner, option }];
        settings.set(flag, { flag, definition, heading: known?.heading ?? heading, targets });
      }
    }
  }
  return settings;
}

/** Returns the name of an option as the user writes it: `search-radius`. */
export const optionWord = (option: string): string =>
  option.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);

/** Returns the flag that sets the option of one owner only: `slope.search-radius`. */
export const pluginFlag = (owner: string, option: string): string => `${owner}.${optionWord(option)}`;

const PLACEHOLDERS: Readonly<Record<string, string>> = {
  switch: '',
  date: '<day>',
  range: '<A-B>',
  list: '<items...>',
  seconds: '<time>',
};

/** Returns the placeholder for the value in `--help`. */
export function placeholder(definition: OptionDefinition): string {
  if (definition.isPath) return '<path>';
  if (definition.kind === 'choice') return `<${definition.choices.join('|')}>`;
  return PLACEHOLDERS[definition.kind] ?? `<${definition.kind}>`;
}

/** Formats the default of an option as a sentence to follow its help; empty if there is none to show. */
export function defaultSentence(definition: OptionDefinition): string {
  const text = defaultText(definition);
  return text === undefined ? '' : ` Default ${text}.`;
}

/** Formats a default as a user would type it, if possible in a unit that makes it a round number. */
function defaultText(definition: OptionDefinition): string | undefined {
  const value = definition.default;
  if (Array.isArray(value)) return value.length === 0 ? undefined : value.join(',');
  if (value === undefined || value === false || typeof value === 'object') return undefined;
  if (typeof value !== 'number') return value === true ? 'on' : String(value);
  if (definition.kind === 'length' || definition.kind === 'distance') return lengthText(value);
  if (definition.kind === 'speed') return speedText(value);
  if (definition.kind === 'seconds') return durationText(value);
  return `${value}${siSuffix(definition)}`;
}

function speedText(metersPerSecond: number): string {
  const mph = metersPerSecond / METERS_PER_SECOND_PER.mph;
  return Math.abs(mph - Math.round(mph)) < 1e-9 ? `${Math.round(mph)} mph` : `${metersPerSecond} m/s`;
}

function lengthText(meters: number): string {
  const isRound = (unit: LengthUnit): boolean => {
    const value = fromMeters(meters, unit);
    return value >= 1 && Math.abs(value - Math.round(value)) < 1e-9;
  };
  const unit = (['m', 'ft', 'yd'] as const).find(isRound) ?? 'm';
  const shown = unit === 'ft' && isRound('yd') && fromMeters(meters, 'yd') >= 10 ? 'yd' : unit;
  return `${Number(fromMeters(meters, shown).toFixed(3))} ${shown}`;
}

/** True for an option whose value is a path. A configuration file gives paths relative to its own folder. */
export const isPath = (definition: OptionDefinition): boolean =>
  definition.kind === 'file' || definition.isPath === true;

/** Values of one option as the user wrote them. */
export interface Given {
  readonly flag: string;
  readonly texts: readonly string[];
  /** The option as named in messages, such as `--draft`, or `draft (FILE:LINE)` in a configuration file. */
  readonly wording: string;
}

/** Values by owner and option name: the values given, and today's date for date options with a default. */
export type ResolvedValues = ReadonlyMap<string, Readonly<Record<string, unknown>>>;

/**
 * Distributes the given values by owner and option. A later value wins over an earlier one, and a flag
 * `OWNER.OPTION` wins over a shared flag.
 *
 * @param units Units of numbers without a suffix.
 * @param today Date used for `today`.
 * @throws Refusal (status 2) for an unknown flag, a value that does not fit, or several values of an option
 *   that takes one.
 */
export function resolveSettings(
  settings: ReadonlyMap<string, Setting>,
  given: readonly Given[],
  units: DisplayUnits,
  today: string,
): ResolvedValues {
  const values = new Map<string, Record<string, unknown>>();
  const set = (owner: string, option: string, value: unknown): void => {
    values.set(owner, { ...values.get(owner), [option]: value });
  };
  for (const setting of settings.values()) {
    if (setting.definition.kind !== 'date' || setting.definition.default === undefined) continue;
    for (const { owner, option } of setting.targets) set(owner, option, today);
  }
  for (const { flag, texts, wording } of sharedFirst(given)) {
    const setting = settings.get(flag);
    if (setting === undefined) throw new Refusal([says.unknown(undefined, wording)], 2);
    if (texts.length > 1 && setting.definition.kind !== 'list')
      throw new Refusal([says['value twice'](undefined, wording, texts[0], texts[1])], 2);
    const parsed = texts.map((text) => parseOptionValue(setting.definition, wording, text, units));
    const value = combine(setting.definition, parsed, today);
    for (const { owner, option } of setting.targets) set(owner, option, value);
  }
  return values;
}

const sharedFirst = (given: readonly Given[]): Given[] => [
  ...given.filter(({ flag }) => !flag.includes('.')),
  ...given.filter(({ flag }) => flag.includes('.')),
];

function combine(definition: OptionDefinition, parsed: readonly unknown[], today: string): unknown {
  if (definition.kind === 'list') return parsed.flat();
  const [value] = parsed;
  return definition.kind === 'date' && value === 'today' ? today : value;
}
