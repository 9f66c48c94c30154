import {
  type OptionDefinitions,
  type Plugin,
  pathOption,
  pathsOption,
  switchOption,
} from '../../shared/contract/index.ts';
import { collectSettings, type OptionGroup } from '../../shared/engine/index.ts';
import { unitsOption } from '../../shared/retrieve/index.ts';
import { planOptions, reviewOptions } from '../day/index.ts';
import { waypointOptions } from '../engine/index.ts';
import { forceOption } from '../files/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import { commentOptions, gpxMergeOptions, gpxOutputOptions } from '../formats/gpx/index.ts';
import { lakeGridOptions } from '../formats/layers/index.ts';
import { tableOptions } from '../formats/table/index.ts';

export const inputOptions = {
  soundings: pathsOption(
    'soundings',
    'Sonar logs in any known format: files, folders, or - for standard input.',
  ),
  tracks: pathsOption('tracks', 'GPX tracks that supply positions for logs with times but no positions.'),
  ...waypointOptions,
  plugin: {
    kind: 'list',
    isPath: true,
    flag: 'plugin',
    help: 'Your own plugin, as a module path or a package name; repeatable.',
  },
  without: { kind: 'list', flag: 'without', help: 'Built-in plugins to leave out, by name.' },
  config: pathOption('config', 'YAML file with any of these options and plugins; the command line wins.'),
  preset: {
    kind: 'list',
    flag: 'preset',
    help: 'Named sets of options from presets in the --config file; a later set wins over an earlier one.',
  },
  workers: {
    kind: 'count',
    flag: 'workers',
    min: 1,
    max: 64,
    help: 'Number of worker threads; default one per core. The outputs do not depend on it.',
  },
  patience: {
    kind: 'seconds',
    flag: 'plugin-patience',
    min: 0,
    exclusiveMin: true,
    default: 20,
    help: 'Longest time a plugin may take over one waypoint before it is stopped.',
  },
  store: switchOption(
    'store',
    'Keep the folder .downslope next to the logs, from which later runs take the depths of unchanged logs.',
    true,
  ),
  json: switchOption(
    'json',
    'Print messages as JSON lines on standard error; check, plan, review and plugins print their results as JSON.',
  ),
  debug: switchOption('debug', 'When a plugin fails, show where in its code.'),
  quiet: switchOption('quiet', 'Print no summary, only messages.'),
} as const satisfies OptionDefinitions;

export const outputOptions = {
  log: pathsOption(
    'log',
    'Logs of what you caught, as for plan --log. A note says which lure and distance the logs favor; casts do not change.',
  ),
  out: pathOption(
    'out',
    'Enriched GPX file (a folder for several inputs; - for standard output). Default NAME.enriched.gpx next to the input.',
  ),
  enriched: switchOption('enriched', 'Write the enriched GPX.', true),
  table: pathOption('table', 'CSV table, one row per waypoint.'),
  ...tableOptions,
  geojson: pathOption('geojson', 'GeoJSON of waypoints, boat positions, landings and casts.'),
  report: pathOption('report', 'Self-contained HTML page with a picture of each spot.'),
  boat: pathOption(
    'boat',
    'HTML page for your phone in the boat: casts, map and log, without a network. plan --boat adds the day plan.',
  ),
  svg: pathOption('svg', 'Folder for the figures as single SVG files.'),
  castLines: pathOption(
    'cast-lines',
    'GPX file of routes that draw each cast line, boat to landing, on your unit.',
  ),
  limits: {
    kind: 'text',
    flag: 'limits',
    help: 'Named set of options, such as the limits of one of your units, from limit-sets in the --config file.',
  },
  unit: {
    kind: 'text',
    flag: 'unit',
    help: 'Write for a unit whose habits were saved with downslope unit EXPORT --save NAME.',
  },
  ...commentOptions,
  force: forceOption,
  inPlace: switchOption(
    'in-place',
    'Write the enriched GPX over its input; the original is kept next to it as .bak.',
  ),
} as const satisfies OptionDefinitions;

export const checkOptions = {
  passes: pathOption('passes', 'GPX file for the passes worth running tomorrow, one route each.'),
  save: switchOption(
    'save',
    'Save how every later run reads each log: settings from this command line, from the log itself or from your answers. The settings go to a file next to each log, such as day1.csv.yaml, or under logs in the --config file.',
  ),
  force: switchOption('force', 'Replace the file of passes, and saved settings that differ.'),
} as const satisfies OptionDefinitions;

export const lakeOptions = {
  layers: pathOption(
    'layers',
    'Folder for map layers: contours, lines and areas as GeoJSON, depth and its uncertainty as ESRI ASCII grids and GeoTIFF.',
  ),
  lines: pathOption(
    'lines',
    'GPX file of routes along lips, feet of slopes, crests and the beds of ditches (thalwegs).',
  ),
  passes: pathOption(
    'passes',
    'GPX file of the passes that would best check what was drawn between passes, one route each.',
  ),
  ...lakeGridOptions,
  force: forceOption,
} as const satisfies OptionDefinitions;

export const prospectOptions = {
  places: {
    kind: 'count',
    min: 1,
    max: 100,
    default: 10,
    flag: 'places',
    help: 'Maximum number of places to propose.',
  },
  apart: {
    kind: 'length',
    min: 10,
    max: 1000,
    default: 40,
    flag: 'apart',
    help: 'Minimum distance of a proposed place from your marks and from the other places.',
  },
  fish: {
    kind: 'text',
    pattern: /^(?:auto|all|count ?> ?\d{1,3})$/,
    expected: 'auto, all, or a count such as "count>0"',
    default: 'auto',
    flag: 'fish',
    help: 'Which marks count as marks with fish: "count>N" takes marks with more than N fish in a note or log, "all" takes all marks but blanks, and "auto" means count>0 if any mark has a count above 0, otherwise all.',
  },
  any: switchOption('any', 'If there is no pattern, list structure, surest first.'),
  log: pathsOption('log', 'Logs of what you caught, as for plan: marks with fish, and blanks.'),
  gpx: pathOption('gpx', 'GPX of the proposed places (N1, N2 ...), each with its boat positions.'),
  ramp: {
    kind: 'text',
    flag: 'ramp',
    help: 'Where you launch, as LAT,LON or the name of a mark; adds the distance to each place.',
  },
  passes: pathOption(
    'passes',
    'GPX file of the passes that would best check the proposed places and the lines near them, one route each.',
  ),
  table: outputOptions.table,
  geojson: outputOptions.geojson,
  report: outputOptions.report,
  boat: {
    ...outputOptions.boat,
    help: 'HTML page for your phone with the proposed places: casts, map and log, without a network.',
  },
  svg: outputOptions.svg,
  castLines: outputOptions.castLines,
  bearings: outputOptions.bearings,
  angles: outputOptions.angles,
  cellGuard: outputOptions.cellGuard,
  cell: lakeGridOptions.cell,
  reach: lakeGridOptions.reach,
  force: forceOption,
} as const satisfies OptionDefinitions;

export const undoOptions = {
  out: pathOption(
    'out',
    'GPX file as it was before enrich (a folder for several files; - for standard output). Default NAME.restored.gpx.',
  ),
  force: forceOption,
} as const satisfies OptionDefinitions;

export const viewOptions = {
  port: { kind: 'count', min: 0, max: 65535, default: 0, flag: 'port', help: 'Port; 0 takes any free one.' },
  host: {
    kind: 'text',
    default: '127.0.0.1',
    flag: 'host',
    help: 'Address to listen on; anything but 127.0.0.1 lets other machines see your spots.',
  },
} as const satisfies OptionDefinitions;

export const unitCommandOptions = {
  save: {
    kind: 'text',
    flag: 'save',
    help: 'Save the result under this name in your settings, for enrich --unit NAME.',
  },
} as const satisfies OptionDefinitions;

export const CORE_OPTIONS = { units: unitsOption, ...inputOptions } as const;
/** Options shared by every command that is resolved by `resolveCommand`. */
export const CORE_GROUP: OptionGroup = { owner: 'core', heading: 'Input:', options: CORE_OPTIONS };

const OUTPUT = 'Output:';
const READER: OptionGroup = {
  owner: 'reader',
  heading: 'When a log does not say:',
  options: readerOptions,
};
const UNIT_LIMITS: OptionGroup = {
  owner: 'gpx',
  heading: 'Limits of the unit that the GPX goes to:',
  options: gpxOutputOptions,
};

/**
 * Option groups by command, in addition to the options of the core and of plugins.
 *
 * One configuration may serve all commands, so a command ignores the keys of other commands.
 */
export const COMMAND_GROUPS = {
  enrich: [
    { owner: 'output', heading: OUTPUT, options: outputOptions },
    READER,
    UNIT_LIMITS,
    { owner: 'merge', heading: 'Several waypoint files:', options: gpxMergeOptions },
  ],
  check: [{ owner: 'check', heading: OUTPUT, options: checkOptions }, READER],
  lake: [{ owner: 'lake', heading: OUTPUT, options: lakeOptions }, READER],
  prospect: [
    { owner: 'prospect', heading: 'Proposals and output:', options: prospectOptions },
    READER,
    UNIT_LIMITS,
  ],
  undo: [{ owner: 'undo', heading: OUTPUT, options: undoOptions }],
  unit: [{ owner: 'unit-command', heading: OUTPUT, options: unitCommandOptions }, READER],
  view: [{ owner: 'view', heading: 'Address of the page:', options: viewOptions }, READER],
  plan: [{ owner: 'plan', heading: 'Log and output:', options: planOptions }, READER],
  review: [{ owner: 'review', heading: 'The review:', options: reviewOptions }, READER],
} as const satisfies Readonly<Record<string, readonly OptionGroup[]>>;

/** Collects the settings of the core, of `groups` (by default of all commands) and of `plugins`, by flag. */
export const settingsOf = (
  plugins: readonly Plugin[],
  groups: readonly OptionGroup[] = Object.values(COMMAND_GROUPS).flat(),
) =>
  collectSettings([
    CORE_GROUP,
    ...groups,
    ...plugins.map(({ name, options }): OptionGroup => ({ owner: name, options })),
  ]);
