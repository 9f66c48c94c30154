import type { OptionDefinition, OptionDefinitions } from '../../shared/contract/options.ts';

/** Options of one owner: a plugin, or a part of the program. */
export interface OptionGroup {
  readonly owner: string;
  readonly options: OptionDefinitions;
}

/** One thing a person can set, and every owner's option that it sets. */
export interface Setting {
  /** Long flag without dashes: the promoted name, or `OWNER.OPTION`. */
  readonly flag: string;
  readonly definition: OptionDefinition;
  readonly targets: readonly { readonly owner: string; readonly option: string }[];
}

/**
 * Every setting of the groups by flag: the promoted flags, and `OWNER.OPTION` (in kebab case) for each option.
 *
 * An option with a promoted flag is one setting for all owners that share the definition.
 */
export function collectSettings(groups: readonly OptionGroup[]): Map<string, Setting> {
  const settings = new Map<string, Setting>();
  for (const { owner, options } of groups) {
    for (const [option, definition] of Object.entries(options)) {
      const target = { owner, option };
      settings.set(ownFlag(owner, option), { flag: ownFlag(owner, option), definition, targets: [target] });
      if (definition.flag === undefined) continue;
      const targets = [...(settings.get(definition.flag)?.targets ?? []), target];
      settings.set(definition.flag, { flag: definition.flag, definition, targets });
    }
  }
  return settings;
}

/** Flag that reaches one owner's option only: `slope.search-radius`. */
export const ownFlag = (owner: string, option: string): string =>
  `${owner}.${option.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;

/** What stands for the value in `--help`. */
export function placeholder(definition: OptionDefinition): string {
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
