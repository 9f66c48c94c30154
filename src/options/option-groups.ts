import type { OptionDefinition, OptionDefinitions } from '../../shared/contract/options.ts';
import { fromMeters, type LengthUnit } from '../../shared/units.ts';

/** Options of one owner: a plugin, or a part of the program. */
export interface OptionGroup {
  readonly owner: string;
  readonly options: OptionDefinitions;
  /** Heading in `--help`. */
  readonly heading?: string;
}

/** One thing a person can set, and every owner's option that it sets. */
export interface Setting {
  /** Long flag without dashes: the promoted name, or `OWNER.OPTION`. */
  readonly flag: string;
  readonly definition: OptionDefinition;
  readonly heading: string;
  readonly targets: readonly { readonly owner: string; readonly option: string }[];
}

/** Heading of plugin options in `--help`. */
const PLAN_HEADING = 'The plan:';

/**
 * Every setting of the groups by flag: the promoted flags, and `OWNER.OPTION` (in kebab case) for each option.
 *
 * An option with a promoted flag is one setting for all owners that share the definition.
 */
export function collectSettings(groups: readonly OptionGroup[]): Map<string, Setting> {
  const settings = new Map<string, Setting>();
  for (const { owner, options, heading = PLAN_HEADING } of groups) {
    for (const [option, definition] of Object.entries(options)) {
      const target = { owner, option };
      settings.set(ownFlag(owner, option), {
        flag: ownFlag(owner, option),
        definition,
        heading,
        targets: [target],
      });
      if (definition.flag === undefined) continue;
      const known = settings.get(definition.flag);
      const targets = [...(known?.targets ?? []), target];
      settings.set(definition.flag, {
        flag: definition.flag,
        definition,
        heading: known?.heading ?? heading,
        targets,
      });
    }
  }
  return settings;
}

/** Flag that reaches one owner's option only: `slope.search-radius`. */
export const ownFlag = (owner: string, option: string): string =>
  `${owner}.${option.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;

/** What stands for the value in `--help`. */
export function placeholder(definition: OptionDefinition): string {
  if (definition.isPath) return '<path>';
  switch (definition.kind) {
    case 'switch':
      return '';
    case 'choice':
      return `<${definition.choices.join('|')}>`;
    case 'date':
      return '<YYYY-MM-DD>';
    case 'range':
      return '<A-B>';
    case 'list':
      return '<items...>';
    case 'file':
      return '<file>';
    default:
      return `<${definition.kind}>`;
  }
}

/** A default as a person would type it; lengths in the unit in which they are round. */
export function defaultText(definition: OptionDefinition): string | undefined {
  const value = definition.default;
  if (value === undefined || value === false || typeof value === 'object') return undefined;
  if (typeof value !== 'number') return value === true ? 'on' : String(value);
  if (definition.kind === 'length') return lengthText(value);
  return `${value}${{ speed: ' m/s', angle: ' deg', seconds: ' s' }[definition.kind as string] ?? ''}`;
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
