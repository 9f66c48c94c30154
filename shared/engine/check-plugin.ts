import { FIELDS, type FieldDefinition, type FieldUnit, type Plugin, Refusal } from '../contract/index.ts';
import { pluginShape } from '../text/index.ts';

const NAME = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const STAGES = ['reader', 'log', 'survey', 'waypoint', 'refine', 'plan', 'writer'];
const UNITS: readonly FieldUnit[] = ['m', 'deg', 'count', 'ratio', 'degree-coordinate', 'none'];
/** Most decimals a field may have: finer than any sonar resolves. */
const MAX_DECIMALS = 6;

/** The candidate as a plugin, if its data follow the contract. @throws Refusal when they do not. */
export function checkPluginShape(candidate: object, reference: string): Plugin {
  const plugin = candidate as Record<string, unknown>;
  const demand = (holds: boolean, found: string, expected: string): void => {
    if (!holds) throw new Refusal([pluginShape(reference, found, expected)], 2);
  };
  const show = (value: unknown): string => JSON.stringify(value) ?? String(value);
  demand(
    typeof plugin.name === 'string' && NAME.test(plugin.name),
    `name ${show(plugin.name)}`,
    'a kebab-case name',
  );
  demand(
    typeof plugin.summary === 'string' && plugin.summary !== '',
    `summary ${show(plugin.summary)}`,
    'one sentence',
  );
  demand(
    STAGES.includes(plugin.stage as string),
    `stage ${show(plugin.stage)}`,
    `one of ${STAGES.join(', ')}`,
  );
  const isReader = plugin.stage === 'reader';
  const functions = { reader: ['sniff', 'read'], writer: ['write'] }[plugin.stage as string] ?? ['run'];
  for (const key of functions)
    demand(typeof plugin[key] === 'function', `${key} ${show(plugin[key])}`, 'a function');
  if (isReader)
    demand(
      isTextList(plugin.extensions) &&
        (plugin.extensions as string[]).every((text) => /^\.[a-z0-9]+$/.test(text)),
      `extensions ${show(plugin.extensions)}`,
      'a list of lower-case file extensions, each with its dot',
    );
  demand(isRecord(plugin.options), `options ${show(plugin.options)}`, 'an object of option definitions');
  for (const [name, option] of Object.entries(plugin.options as Record<string, unknown>))
    demand(
      isRecord(option) && typeof option.kind === 'string' && typeof option.help === 'string',
      `option "${name}"`,
      'kind and help',
    );
  if (plugin.stage === 'writer') {
    const { out } = plugin.options as Record<string, { kind?: unknown; isPath?: unknown } | undefined>;
    demand(
      out?.kind === 'text' && out.isPath === true,
      `option out ${show(out)}`,
      'an option "out" of kind text that is a path: the folder for its files',
    );
    demand(isTextList(plugin.requires), `requires ${show(plugin.requires)}`, 'a list of field names');
    const { positions, suffixes } = plugin;
    demand(
      positions === undefined || typeof positions === 'function',
      `positions ${show(positions)}`,
      'a function, or nothing',
    );
    demand(
      (suffixes === undefined && positions === undefined) ||
        (isTextList(suffixes) &&
          (suffixes as string[]).every(
            (text) => /^[A-Z]{1,3}$/.test(text) && !['D', 'U', 'A'].includes(text),
          )),
      `suffixes ${show(suffixes)}`,
      'a list of one to three capitals each, none of them D, U or A',
    );
  }
  if (plugin.stage === 'waypoint' || plugin.stage === 'refine') {
    for (const key of ['requires', plugin.stage === 'refine' ? 'changes' : 'provides'])
      demand(isTextList(plugin[key]), `${key} ${show(plugin[key])}`, 'a list of field names');
    demand(
      plugin.uses === undefined || isTextList(plugin.uses),
      `uses ${show(plugin.uses)}`,
      'a list of field names',
    );
    for (const name of (plugin.changes ?? []) as string[])
      demand(Object.hasOwn(FIELDS, name), `changes "${name}"`, 'names of fields that the table shows');
    for (const [name, field] of Object.entries((plugin.fields ?? {}) as Record<string, unknown>))
      checkField(name, field, demand);
  }
  return plugin as unknown as Plugin;
}

type Demand = (holds: boolean, found: string, expected: string) => void;

/** Checks a field that a plugin defines: its name, type, unit and decimals. */
function checkField(name: string, field: unknown, demand: Demand): void {
  demand(/^[a-z][a-z0-9_]*$/.test(name), `field "${name}"`, 'a lower_case name');
  demand(
    isRecord(field) &&
      typeof field.help === 'string' &&
      ['number', 'text', 'word'].includes(field.type as string),
    `field "${name}"`,
    'a type (number, text or word) and help',
  );
  const { type, unit, decimals, words } = field as unknown as FieldDefinition;
  demand(UNITS.includes(unit), `unit ${String(unit)} of field "${name}"`, `one of ${UNITS.join(', ')}`);
  demand(
    type === 'number' || unit === 'none',
    `unit ${unit} of field "${name}" of type ${type}`,
    'unit none for what is no number',
  );
  demand(
    decimals === undefined || (Number.isInteger(decimals) && decimals >= 0 && decimals <= MAX_DECIMALS),
    `decimals ${String(decimals)} of field "${name}"`,
    `a whole number from 0 to ${MAX_DECIMALS}`,
  );
  demand(
    type !== 'word' || (isTextList(words) && (words?.length ?? 0) > 0),
    `field "${name}" of type word`,
    'words: every value that it can take',
  );
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const isTextList = (value: unknown): boolean =>
  Array.isArray(value) && value.every((item) => typeof item === 'string');
