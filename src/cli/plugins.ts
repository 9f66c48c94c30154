import {
  type DisplayUnits,
  FIELDS,
  type FieldDefinition,
  INTERNAL_FIELDS,
  type NumberOption,
  type OptionDefinition,
  type OptionDefinitions,
  type Plugin,
  Refusal,
  switchOption,
  type WaypointPlugin,
} from '../../shared/contract/index.ts';
import {
  defaultSentence,
  limitTexts,
  ownFields,
  placeholder,
  pluginFlag,
} from '../../shared/engine/index.ts';
import { nearNames, pluginMessages as says } from '../../shared/text/index.ts';
import { ALL_STAGES, pluginsOf, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'plugins',
  summary: 'Lists plugins in the order they run, or the fields and options of one plugin.',
  argument: { name: '[name]', help: 'plugin to describe' },
} as const;

const MARKDOWN = {
  markdown: switchOption('markdown', 'Print the list as a Markdown table.'),
} as const satisfies OptionDefinitions;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, ALL_STAGES, [
    { owner: 'plugins', heading: 'Options:', options: MARKDOWN },
  ]);
  const plugins = pluginsOf(resolved.pipeline);
  const { io, inputs } = resolved;
  const [name] = resolved.positionals;
  if (name === undefined) {
    const { markdown } = resolved.values('plugins', MARKDOWN);
    io.print(inputs.json ? jsonOf(plugins.map(dataOf)) : markdown ? markdownTable(plugins) : list(plugins));
    return 0;
  }
  const plugin = plugins.find((candidate) => candidate.name === name);
  if (plugin === undefined) {
    const known = plugins.map((each) => each.name);
    throw new Refusal([says.unknown(undefined, name, nearNames(name, known))], 2);
  }
  io.print(inputs.json ? jsonOf(dataOf(plugin)) : describe(plugin, resolved.units));
  return 0;
}

const jsonOf = (value: unknown): string => `${JSON.stringify(value, undefined, 2)}\n`;

/** Returns a plugin as plain data, without its functions. Numbers in its options are in SI units. */
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

function describe(plugin: Plugin, units: DisplayUnits): string {
  const sections: [title: string, lines: readonly string[]][] = [];
  if (plugin.stage === 'waypoint' || plugin.stage === 'refine') {
    sections.push(['Requires', plugin.requires.map(fieldLine)]);
    sections.push(['Uses when there', (plugin.uses ?? []).map(fieldLine)]);
    if (plugin.stage === 'refine') sections.push(['Changes', plugin.changes.map(fieldLine)]);
    else sections.push(['Provides', provided(plugin)]);
  }
  const options = Object.entries<OptionDefinition>(plugin.options);
  sections.push([
    'Options',
    options.flatMap(([name, option]) => optionLines(plugin.name, name, option, units)),
  ]);
  const filled = sections.filter(([, lines]) => lines.length > 0);
  return [
    `${plugin.name} (${plugin.stage} stage)`,
    plugin.summary,
    ...filled.flatMap(([title, lines]) => ['', `${title}:`, ...lines.map((line) => `  ${line}`)]),
    '',
  ].join('\n');
}

const provided = (plugin: WaypointPlugin): string[] => [
  ...plugin.provides.map(fieldLine),
  ...ownFields(plugin).map(([name, definition]) => fieldText(name, definition)),
];

function fieldLine(name: string): string {
  const definition = (FIELDS as Readonly<Record<string, FieldDefinition>>)[name];
  if (definition !== undefined) return fieldText(name, definition);
  return `${name}: ${(INTERNAL_FIELDS as Readonly<Record<string, string>>)[name] ?? 'A field of another plugin.'} (between plugins only)`;
}

const fieldText = (name: string, { unit, help }: FieldDefinition): string =>
  `${name}${unit === 'none' ? '' : ` (${unit})`}: ${help}`;

function optionLines(
  owner: string,
  name: string,
  definition: OptionDefinition,
  units: DisplayUnits,
): string[] {
  const flags = [
    ...(definition.flag === undefined ? [] : [`--${definition.flag}`]),
    `--${pluginFlag(owner, name)}`,
  ];
  const usual =
    definition.kind === 'switch' && definition.default
      ? ` Default on; --no-${pluginFlag(owner, name)} turns it off.`
      : defaultSentence(definition);
  return [
    `${flags.join(', ')} ${placeholder(definition)}`.trimEnd(),
    `    ${definition.help}${rangeText(definition as NumberOption, units)}${usual}`,
  ];
}

/** Formats the range of an option as a sentence to follow its help; empty without limits. */
function rangeText(definition: NumberOption, units: DisplayUnits): string {
  const { least, most } = limitTexts(definition, units);
  if (least === undefined) return most === undefined ? '' : ` At most ${most}.`;
  if (definition.exclusiveMin) return ` More than ${least}${most === undefined ? '' : `, at most ${most}`}.`;
  return most === undefined ? ` At least ${least}.` : ` From ${least} to ${most}.`;
}
