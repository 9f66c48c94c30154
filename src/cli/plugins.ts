import {
  FIELDS,
  type FieldDefinition,
  INTERNAL_FIELDS,
  type OptionDefinition,
  type OptionDefinitions,
  type Plugin,
  type RefinePlugin,
  Refusal,
  switchOption,
  type WaypointPlugin,
} from '../../shared/contract/index.ts';
import {
  defaultText,
  placeholder,
  pluginFieldName,
  pluginFlag,
  siSuffix,
} from '../../shared/engine/index.ts';
import { pluginUnknown } from '../../shared/text/index.ts';
import { HELP_FOOTER } from './cautions.ts';
import { createCommandIo } from './command-io.ts';
import { resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'plugins',
  summary: 'Lists plugins in the order they run, or the fields and options of one.',
  argument: { name: '[name]', help: 'plugin to describe' },
  footer: HELP_FOOTER,
} as const;

const MARKDOWN = {
  markdown: switchOption('markdown', 'The list as a Markdown table, for documents.'),
} as const satisfies OptionDefinitions;

/** Prints plugins to standard output. */
export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, [{ owner: 'plugins', options: MARKDOWN }], argv, () => true);
  const { reader, log, survey, waypoint, plan, writer } = resolved.pipeline;
  const plugins: Plugin[] = [reader, log, survey, waypoint, plan, writer].flatMap((steps) =>
    steps.map((step) => step.plugin),
  );
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const [name] = resolved.positionals;
  if (name === undefined) {
    if (resolved.inputs.json) io.print(jsonOf(plugins.map(dataOf)));
    else io.print(resolved.values('plugins', MARKDOWN).markdown ? markdownTable(plugins) : list(plugins));
    return 0;
  }
  const plugin = plugins.find((candidate) => candidate.name === name);
  if (plugin === undefined)
    throw new Refusal([pluginUnknown(name, plugins.map((known) => known.name).join(', '))], 2);
  io.print(resolved.inputs.json ? jsonOf(dataOf(plugin)) : describe(plugin));
  return 0;
}

const jsonOf = (value: unknown): string => `${JSON.stringify(value, undefined, 2)}\n`;

/** A plugin without its functions. Numbers of options are in SI. */
const dataOf = (plugin: Plugin): object => JSON.parse(JSON.stringify(plugin));

function list(plugins: readonly Plugin[]): string {
  const width = Math.max(...plugins.map(({ name }) => name.length));
  return plugins
    .map(({ name, stage, summary }) => `${name.padEnd(width)}  ${stage.padEnd(8)}  ${summary}\n`)
    .join('');
}

function markdownTable(plugins: readonly Plugin[]): string {
  const rows = plugins.map(({ name, stage, summary }) => `| \`${name}\` | ${stage} | ${summary} |\n`);
  return `| plugin | stage | what it does |\n| --- | --- | --- |\n${rows.join('')}`;
}

function describe(plugin: Plugin): string {
  const lines = [`${plugin.name} (${plugin.stage} stage)`, plugin.summary];
  if (plugin.stage === 'waypoint' || plugin.stage === 'refine') {
    lines.push(
      ...section(
        'Requires',
        plugin.requires.map((field) => fieldLine(field)),
      ),
    );
    lines.push(
      ...section(
        'Uses when there',
        (plugin.uses ?? []).map((field) => fieldLine(field)),
      ),
    );
    lines.push(...(plugin.stage === 'refine' ? changed(plugin) : provided(plugin)));
  }
  const options = Object.entries<OptionDefinition>(plugin.options);
  lines.push(
    ...section(
      'Options',
      options.flatMap(([name, definition]) => optionLines(plugin.name, name, definition)),
    ),
  );
  return `${lines.join('\n')}\n`;
}

const provided = ({ name, provides, fields = {} }: WaypointPlugin): string[] =>
  section('Provides', [
    ...provides.map((field) => fieldLine(field)),
    ...Object.entries<FieldDefinition>(fields).map(([field, definition]) =>
      fieldText(pluginFieldName(name, field), definition),
    ),
  ]);

const changed = ({ changes }: RefinePlugin): string[] =>
  section(
    'Changes',
    changes.map((field) => fieldLine(field)),
  );

const section = (title: string, lines: readonly string[]): string[] =>
  lines.length === 0 ? [] : ['', `${title}:`, ...lines.map((line) => `  ${line}`)];

function fieldLine(name: string): string {
  const definition = (FIELDS as Readonly<Record<string, FieldDefinition>>)[name];
  if (definition !== undefined) return fieldText(name, definition);
  return `${name}: ${(INTERNAL_FIELDS as Readonly<Record<string, string>>)[name] ?? 'A field of another plugin.'} (between plugins only)`;
}

const fieldText = (name: string, { unit, help }: FieldDefinition): string =>
  `${name}${unit === 'none' ? '' : ` (${unit})`}: ${help}`;

function optionLines(owner: string, name: string, definition: OptionDefinition): string[] {
  const flags = [
    ...(definition.flag === undefined ? [] : [`--${definition.flag}`]),
    `--${pluginFlag(owner, name)}`,
  ];
  const limits =
    'min' in definition || 'max' in definition
      ? rangeText(definition as { min?: number; max?: number }, siSuffix(definition))
      : '';
  const byDefault = defaultText(definition);
  const shown = byDefault === undefined ? '' : ` Default ${byDefault}.`;
  return [
    `${flags.join(', ')} ${placeholder(definition)}`.trimEnd(),
    `    ${definition.help}${limits}${shown}`,
  ];
}

function rangeText({ min, max }: { min?: number; max?: number }, unit: string): string {
  if (min !== undefined && max !== undefined) return ` From ${min} to ${max}${unit}.`;
  return min === undefined ? ` At most ${max}${unit}.` : ` At least ${min}${unit}.`;
}
