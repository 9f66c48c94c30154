import { mapKeys, mapValues } from 'es-toolkit/object';
import {
  type FieldDefinition,
  type OptionDefinition,
  type OptionDefinitions,
  Refusal,
} from '../../shared/contract/index.ts';
import { columnName, type FIXED_COLUMNS, optionWord, type Setting } from '../../shared/engine/index.ts';
import { optionMessages as says } from '../../shared/text/index.ts';
import { settingsOfLogs } from '../engine/index.ts';
import { settingsOf } from './command-options.ts';
import { ALL_STAGES, pluginsOf, type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'schema',
  summary:
    'Prints, for programs, the columns of the table, or the JSON Schema of the configuration or of messages.',
  argument: { name: '<what>', help: 'what to print: table, config or messages' },
} as const;

const DIALECT = 'https://json-schema.org/draft/2020-12/schema';

const MAKERS: Readonly<Record<string, (resolved: ResolvedCommand) => unknown>> = {
  table: tableColumns,
  config: configSchema,
  messages: messageSchema,
};

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, ALL_STAGES);
  const [what] = resolved.positionals;
  if (!Object.hasOwn(MAKERS, what))
    throw new Refusal([says.value(undefined, 'schema', what, `one of ${Object.keys(MAKERS).join(', ')}`)], 2);
  process.stdout.write(`${JSON.stringify(MAKERS[what](resolved), undefined, 2)}\n`);
  return 0;
}

const FIXED: Readonly<Record<(typeof FIXED_COLUMNS)[number], Omit<FieldDefinition, 'unit'>>> = {
  file: { type: 'text', help: 'Waypoint file, as given.' },
  waypoint: { type: 'text', help: 'Name of the waypoint.' },
  lat: { type: 'number', help: 'Latitude, WGS 84, as in the file.' },
  lon: { type: 'number', help: 'Longitude, WGS 84, as in the file.' },
  notes: { type: 'text', help: 'Codes of the messages about the waypoint, separated by semicolons.' },
};

function tableColumns({ pipeline, units }: ResolvedCommand): object[] {
  const fixed = (name: (typeof FIXED_COLUMNS)[number]) => {
    const isPlace = name === 'lat' || name === 'lon';
    return { column: name, ...FIXED[name], ...(isPlace ? { unit: 'deg' } : {}) };
  };
  const fields = pipeline.fields.map(([name, definition]) => {
    const { type, unit, decimals, words, help } = definition;
    const shown = { m: units, 'degree-coordinate': 'deg', none: undefined }[unit as string] ?? unit;
    return {
      column: columnName(name, definition, units),
      field: name,
      type,
      ...(unit === 'none' ? {} : { unit: shown }),
      ...(decimals === undefined ? {} : { decimals }),
      ...(words === undefined ? {} : { words }),
      help,
    };
  });
  return [...(['file', 'waypoint', 'lat', 'lon'] as const).map(fixed), ...fields, fixed('notes')];
}

function configSchema({ pipeline }: ResolvedCommand): object {
  const plugins = pluginsOf(pipeline);
  const closed = (properties: object) => ({ type: 'object', properties, additionalProperties: false });
  const options = propertiesOf(settingsOf(plugins));
  const set = closed(options);
  const ofLogs = closed(propertiesOf(settingsOfLogs(pipeline.log)));
  const ofPlugins = plugins.map(({ name, options: own }) => {
    const properties = mapValues<OptionDefinitions, string, object>(own, optionSchema);
    return [name, closed(mapKeys(properties, (_, option) => optionWord(option)))];
  });
  return {
    $schema: DIALECT,
    title: 'Configuration of downslope',
    type: 'object',
    properties: {
      ...options,
      plugins: { type: 'array', items: { type: ['string', 'object'] } },
      options: { type: 'object', properties: Object.fromEntries(ofPlugins) },
      presets: { type: 'object', additionalProperties: set },
      'limit-sets': { type: 'object', additionalProperties: set },
      logs: { type: 'object', additionalProperties: ofLogs },
    },
    // Keys `PLUGIN.OPTION`, including those of plugins that are not loaded.
    patternProperties: { '^[a-z0-9-]+\\.[a-z0-9-]+$': {} },
    additionalProperties: false,
  };
}

const propertiesOf = (settings: ReadonlyMap<string, Setting>): Record<string, object> =>
  Object.fromEntries(
    [...settings.values()]
      .filter(({ flag }) => !flag.includes('.') && flag !== 'config')
      .map(({ flag, definition }) => [flag, optionSchema(definition)]),
  );

/** Makes the schema of an option's value. A quantity such as a length may be a number or text with a unit. */
function optionSchema(definition: OptionDefinition): object {
  const description = definition.help;
  switch (definition.kind) {
    case 'switch':
      return { description, type: 'boolean', default: definition.default };
    case 'choice':
      return { description, enum: definition.choices };
    case 'count':
      return { description, type: 'integer', minimum: definition.min, maximum: definition.max };
    case 'number':
      return { description, type: 'number', minimum: definition.min, maximum: definition.max };
    case 'list':
      return {
        description,
        anyOf: [{ type: 'string' }, { type: 'array', items: { type: ['string', 'number'] } }],
      };
    default:
      return { description, type: ['string', 'number'] };
  }
}

function messageSchema(): object {
  const place = {
    file: { type: 'string' },
    line: { type: 'integer', minimum: 1 },
    column: { type: 'integer', minimum: 1 },
    waypoint: { type: 'string' },
  };
  return {
    $schema: DIALECT,
    title: 'A message of downslope: with --json, one line of standard error',
    type: 'object',
    required: ['severity', 'code', 'message'],
    additionalProperties: false,
    properties: {
      severity: {
        enum: ['error', 'warning', 'note'],
        description: 'An error refuses its input or waypoint; a warning does not; a note is information.',
      },
      code: {
        type: 'string',
        pattern: '^[a-z0-9-]+/[a-z0-9-]+$',
        description: 'Stable; the text of a message is not.',
      },
      message: { type: 'string', description: 'For people; lengths in meters.' },
      lengths: {
        type: 'array',
        items: { type: 'number' },
        description: 'Lengths in the message, in its order, m.',
      },
      values: {
        type: 'object',
        additionalProperties: { type: ['number', 'string'] },
        description: 'What the message says, as numbers in SI units and words.',
      },
      place: { type: 'object', properties: place, additionalProperties: false },
      repair: {
        type: 'object',
        properties: {
          setting: { type: 'string' },
          value: { type: 'string' },
          columns: { type: 'array', items: { type: 'string' } },
        },
        required: ['setting'],
        additionalProperties: false,
        description:
          'The option that repairs the fault, its value if certain, and the columns to choose from.',
      },
      count: {
        type: 'integer',
        minimum: 2,
        description: 'Number of rows or waypoints that the message stands for.',
      },
    },
  };
}
