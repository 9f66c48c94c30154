import {
  fromMeters,
  type LengthUnit,
  METERS_PER_SECOND_PER,
  type OptionDefinition,
  type OptionDefinitions,
} from '../contract/index.ts';
import { siSuffix } from './parse-value.ts';

/** The options of one owner: a plugin, or a part of the program. */
export interface OptionGroup {
  readonly owner: string;
  readonly options: OptionDefinitions;
  /** Heading in `--help`. */
  readonly heading?: string;
}

/** One setting, with all the options it sets. */
export interface Setting {
  /** Long flag without dashes: the promoted name, or `OWNER.OPTION`. */
  readonly flag: string;
  readonly definition: OptionDefinition;
  readonly heading: string;
  readonly targets: readonly { readonly owner: string; readonly option: string }[];
}

/** Heading of the plan's options in `--help`. */
const PLAN_HEADING = 'The plan:';

/**
 * Every setting by flag: promoted flags, and `OWNER.OPTION` (in kebab case) for each option.
 *
 * A promoted flag is one setting for all owners that share its definition.
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

/** The flag that sets the option of one owner only: `slope.search-radius`. */
export const pluginFlag = (owner: string, option: string): string =>
  `${owner}.${option.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;

const PLACEHOLDERS: Readonly<Record<string, string>> = {
  switch: '',
  date: '<day>',
  range: '<A-B>',
  list: '<items...>',
  seconds: '<time>',
};

/** Placeholder for the value in `--help`. */
export function placeholder(definition: OptionDefinition): string {
  if (definition.isPath) return '<path>';
  if (definition.kind === 'choice') return `<${definition.choices.join('|')}>`;
  return PLACEHOLDERS[definition.kind] ?? `<${definition.kind}>`;
}

/** A default as a user would type it, in the unit in which it is a round number. */
export function defaultText(definition: OptionDefinition): string | undefined {
  const value = definition.default;
  if (Array.isArray(value)) return value.length === 0 ? undefined : value.join(',');
  if (value === undefined || value === false || typeof value === 'object') return undefined;
  if (typeof value !== 'number') return value === true ? 'on' : String(value);
  if (definition.kind === 'length' || definition.kind === 'distance') return lengthText(value);
  if (definition.kind === 'speed') return speedText(value);
  if (definition.kind === 'seconds' && value >= 60 && value % 60 === 0) return `${value / 60} min`;
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

/** True for an option whose value is a path. In a configuration file, such a path is relative to the file's folder. */
export const isPath = (definition: OptionDefinition): boolean =>
  definition.kind === 'file' || definition.isPath === true;
