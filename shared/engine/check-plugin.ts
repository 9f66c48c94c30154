import { type FieldDefinition, type Plugin, Refusal } from '../contract/index.ts';
import { pluginShape } from '../text/index.ts';

const NAME = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const STAGES = ['reader', 'log', 'survey', 'waypoint', 'plan', 'writer'];

/** The plugin itself, if its data have the shape of the contract. */
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
  }
  if (plugin.stage === 'waypoint') {
    for (const key of ['requires', 'provides'])
      demand(isTextList(plugin[key]), `${key} ${show(plugin[key])}`, 'a list of field names');
    demand(
      plugin.uses === undefined || isTextList(plugin.uses),
      `uses ${show(plugin.uses)}`,
      'a list of field names',
    );
    for (const [name, field] of Object.entries((plugin.fields ?? {}) as Record<string, FieldDefinition>))
      demand(
        /^[a-z][a-z0-9_]*$/.test(name) &&
          isRecord(field) &&
          typeof field.help === 'string' &&
          ['number', 'text', 'word'].includes(field.type),
        `field "${name}"`,
        'a lower_case name with type (number, text or word), unit and help',
      );
  }
  return plugin as unknown as Plugin;
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);
const isTextList = (value: unknown): boolean =>
  Array.isArray(value) && value.every((item) => typeof item === 'string');
