import { type DisplayUnits, type OptionDefinition, Refusal } from '../contract/index.ts';
import { optionMessages as says } from '../text/index.ts';
import type { Setting } from './option-groups.ts';
import { parseOptionValue } from './parse-value.ts';

/** A value and the name of its option as the user wrote them, for use in messages. */
export interface Given {
  readonly flag: string;
  readonly texts: readonly string[];
  /** `--draft`, or `draft` in a configuration file. */
  readonly wording: string;
}

/** By owner and option name: only values that were given. */
export type ResolvedValues = ReadonlyMap<string, Readonly<Record<string, unknown>>>;

/**
 * Assigns the values given to the owners of their options. A later value wins over an earlier one, and a flag for one
 * owner over a shared flag.
 *
 * @param units Units of numbers without a suffix.
 * @param today Date used for `today`.
 * @throws Refusal (status 2) for an unknown flag or a value that does not fit.
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
  const last = parsed[parsed.length - 1];
  return definition.kind === 'date' && last === 'today' ? today : last;
}
