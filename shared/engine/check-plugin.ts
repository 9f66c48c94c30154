import { isString } from 'es-toolkit/predicate';
import { FIELDS, type FieldDefinition, type FieldUnit, type Plugin, Refusal } from '../contract/index.ts';
import { pluginMessages as says } from '../text/index.ts';
import { valueKind } from './run-on-copies.ts';

const NAME = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const STAGES = ['reader', 'log', 'survey', 'waypoint', 'refine', 'plan', 'writer'];
const UNITS: readonly FieldUnit[] = ['m', 'deg', 'count', 'ratio', 'degree-coordinate', 'none'];
/** Maximum number of decimals of a field. Judgment: no sonar resolves a micrometer. */
const MAX_DECIMALS = 6;

/** Returns a candidate as a plugin. @throws Refusal (status 2) when its shape breaks the contract. */
export function checkPluginShape(candidate: object, reference: string): Plugin {
  const plugin = candidate as Record<string, unknown>;
  const demand: Demand = (holds, found, expected) => {
    if (!holds) throw new Refusal([says.shape(undefined, reference, found, expected)], 2);
  };
  const check = (key: string, isFit: (value: unknown) => boolean, expected: string): void =>
    demand(isFit(plugin[key]), shown(key, plugin[key]), expected);
  check(
    'name',
    (name) => typeof name === 'string' && NAME.test(name),
    'a name in lower case, such as wave-shelter',
  );
  check('summary', (summary) => typeof summary === 'string' && summary !== '', 'a summary in one sentence');
  check('stage', (stage) => STAGES.includes(stage as string), `one of ${STAGES.join(', ')}`);
  const stage = plugin.stage as Plugin['stage'];
  for (const key of { reader: ['sniff', 'read'], writer: ['write'] }[stage as string] ?? ['run'])
    check(key, (value) => typeof value === 'function', 'a function');
  if (stage === 'reader')
    check(
      'extensions',
      (value) => isTextList(value) && value.every((text) => /^\.[a-z0-9]+$/.test(text)),
      'a list of lower-case file extensions, each with its dot',
    );
  check('options', isRecord, 'an object of option definitions');
  for (const [name, option] of Object.entries(plugin.options as Record<string, unknown>))
    demand(
      isRecord(option) && typeof option.kind === 'string' && typeof option.help === 'string',
      `option "${name}" without a kind and help`,
      'both',
    );
  if (stage === 'writer') {
    const { out } = plugin.options as Record<string, { kind?: unknown; isPath?: unknown } | undefined>;
    demand(
      out?.kind === 'text' && out.isPath === true,
      shown('option "out"', out),
      'one with kind "text" and isPath true, for the folder of its files',
    );
    check('requires', isTextList, FIELD_NAMES);
    const isFunctionOrNone = (value: unknown) => value === undefined || typeof value === 'function';
    check('positions', isFunctionOrNone, 'a function or nothing');
    check(
      'suffixes',
      (value) => (value === undefined ? plugin.positions === undefined : isSuffixList(value)),
      'a list of suffixes of one to three capitals, other than D, U and A',
    );
  }
  if (stage === 'waypoint' || stage === 'refine') {
    check('requires', isTextList, FIELD_NAMES);
    check(stage === 'refine' ? 'changes' : 'provides', isTextList, FIELD_NAMES);
    check('uses', (value) => value === undefined || isTextList(value), FIELD_NAMES);
    for (const name of (plugin.changes ?? []) as string[])
      demand(Object.hasOwn(FIELDS, name), `changes "${name}"`, 'names of fields that the table shows');
    for (const [name, field] of Object.entries((plugin.fields ?? {}) as Record<string, unknown>))
      checkField(name, field, demand);
  }
  return plugin as unknown as Plugin;
}

type Demand = (holds: boolean, found: string, expected: string) => void;

const FIELD_NAMES = 'a list of field names';

const shown = (key: string, value: unknown): string =>
  value === undefined ? `no ${key}` : `${key} ${JSON.stringify(value) ?? valueKind(value)}`;

const isSuffixList = (value: unknown): boolean =>
  isTextList(value) && value.every((text) => /^[A-Z]{1,3}$/.test(text) && !['D', 'U', 'A'].includes(text));

function checkField(name: string, field: unknown, demand: Demand): void {
  const here = `field "${name}"`;
  demand(/^[a-z][a-z0-9_]*$/.test(name), here, 'a name in lower case, such as wave_height');
  const isTyped = isRecord(field) && ['number', 'text', 'word'].includes(field.type as string);
  const isWhole = isTyped && typeof field.help === 'string';
  demand(isWhole, `${here} without a type (number, text or word) and help`, 'both');
  const { type, unit, decimals = 0, words } = field as unknown as FieldDefinition;
  demand(UNITS.includes(unit), `${shown('unit', unit)} for ${here}`, `one of ${UNITS.join(', ')}`);
  const isOfType = type === 'number' || unit === 'none';
  demand(isOfType, `unit "${unit}" for ${here} of type ${type}`, 'unit "none" for it');
  const isFine = Number.isInteger(decimals) && decimals >= 0 && decimals <= MAX_DECIMALS;
  demand(isFine, `decimals ${String(decimals)} for ${here}`, `a whole number from 0 to ${MAX_DECIMALS}`);
  const hasWords = type !== 'word' || (isTextList(words) && words.length > 0);
  demand(hasWords, `${here} of type word without words`, 'a list of all values that it can take');
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const isTextList = (value: unknown): value is readonly string[] =>
  Array.isArray(value) && value.every(isString);
