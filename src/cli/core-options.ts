import type { OptionDefinitions } from '../../shared/contract/index.ts';
import { forceOption } from '../files/index.ts';
import { commentOptions } from '../formats/gpx/index.ts';
import { lakeGridOptions } from '../formats/layers/index.ts';
import { tableOptions } from '../formats/table/index.ts';

/** Options shared by the commands for where inputs are read from. */
export const inputOptions = {
  soundings: {
    kind: 'list',
    isPath: true,
    isVariadic: true,
    flag: 'soundings',
    help: 'Sounding logs of any kind that is read: files, folders, or - for standard input.',
  },
  tracks: {
    kind: 'list',
    isPath: true,
    isVariadic: true,
    flag: 'tracks',
    help: 'GPX tracks that give positions to logs with times but no positions.',
  },
  repair: {
    kind: 'switch',
    flag: 'repair',
    default: false,
    help: 'Read slightly broken waypoint files: a bare & or <, control characters, a wrong encoding, junk round the XML, an undeclared prefix, a file cut short. Every repair is listed with its line.',
  },
  plugin: {
    kind: 'list',
    isPath: true,
    flag: 'plugin',
    help: 'A plugin of your own: a module path or a package name; repeatable.',
  },
  without: { kind: 'list', flag: 'without', help: 'Built-in plugins to leave out, by name.' },
  config: {
    kind: 'text',
    isPath: true,
    flag: 'config',
    help: 'YAML file with any of these options and plugins; the command line wins.',
  },
  preset: {
    kind: 'list',
    flag: 'preset',
    help: 'Named sets of options under presets in the file of --config; later ones win.',
  },
  workers: {
    kind: 'count',
    flag: 'workers',
    min: 1,
    max: 64,
    help: 'Worker threads; default one per core. The outputs do not depend on it.',
  },
  patience: {
    kind: 'seconds',
    flag: 'plugin-patience',
    min: 0,
    exclusiveMin: true,
    default: 20,
    help: 'Longest time a plugin may take over one waypoint before it is stopped.',
  },
  store: {
    kind: 'switch',
    flag: 'store',
    default: true,
    help: 'Keep reduced soundings in .downslope beside the logs, and read only new or changed logs.',
  },
  json: {
    kind: 'switch',
    flag: 'json',
    default: false,
    help: 'Messages as JSON lines on standard error; what check, plan and plugins print as JSON.',
  },
  debug: {
    kind: 'switch',
    flag: 'debug',
    default: false,
    help: 'With a plugin that fails, the lines of code that led there.',
  },
  quiet: { kind: 'switch', flag: 'quiet', default: false, help: 'No summary; diagnostics only.' },
} as const satisfies OptionDefinitions;

/** Options of `enrich` for what is written and where. */
export const outputOptions = {
  log: {
    kind: 'list',
    isPath: true,
    isVariadic: true,
    flag: 'log',
    help: 'What was fished, as with plan --log: says which lure and which distance your logs favor; casts stay as they are.',
  },
  out: {
    kind: 'text',
    isPath: true,
    flag: 'out',
    help: 'Enriched GPX (a folder, needed so when there are several inputs; - for standard output); default NAME.enriched.gpx beside the input.',
  },
  enriched: {
    kind: 'switch',
    default: true,
    flag: 'enriched',
    help: 'Write the enriched GPX.',
  },
  table: { kind: 'text', isPath: true, flag: 'table', help: 'CSV table, one row per waypoint.' },
  ...tableOptions,
  geojson: {
    kind: 'text',
    isPath: true,
    flag: 'geojson',
    help: 'GeoJSON of waypoints, boat positions, landings and casts.',
  },
  report: {
    kind: 'text',
    isPath: true,
    flag: 'report',
    help: 'Self-contained HTML page with a picture of each spot.',
  },
  boat: {
    kind: 'text',
    isPath: true,
    flag: 'boat',
    help: 'HTML page for the phone in the boat: casts, map and log, with no network; plan --boat makes one with the day in it.',
  },
  svg: { kind: 'text', isPath: true, flag: 'svg', help: 'Folder for the single figures as SVG.' },
  castLines: {
    kind: 'text',
    isPath: true,
    flag: 'cast-lines',
    help: 'GPX file of routes that draw the cast lines on the unit, two points each: boat and landing.',
  },
  limits: {
    kind: 'text',
    flag: 'limits',
    help: 'Named set of options, such as the limits of one of your units, from limit-sets in the file of --config.',
  },
  unit: {
    kind: 'text',
    flag: 'unit',
    help: 'Write for a unit whose habits were saved with downslope unit EXPORT --save NAME.',
  },
  ...commentOptions,
  force: forceOption,
  inPlace: {
    kind: 'switch',
    flag: 'in-place',
    default: false,
    help: 'Write the enriched GPX over its input; the input is kept beside it as .bak.',
  },
} as const satisfies OptionDefinitions;

/** Options of `check`. */
export const checkOptions = {
  passes: {
    kind: 'text',
    isPath: true,
    flag: 'passes',
    help: 'GPX file for the passes worth running tomorrow, one route each.',
  },
  save: {
    kind: 'switch',
    flag: 'save',
    default: false,
    help: 'Keep for every later run how each log is read: what mends it, from this command line, from the log itself, or asked for at the terminal. Written to LOG.yaml beside each, or under logs in the file of --config.',
  },
  force: {
    kind: 'switch',
    flag: 'force',
    default: false,
    help: 'Replace the file of passes, and saved settings that say something else.',
  },
} as const satisfies OptionDefinitions;

/** Options of `lake`. */
export const lakeOptions = {
  layers: {
    kind: 'text',
    isPath: true,
    flag: 'layers',
    help: 'Folder for map layers: isobaths, lines and areas as GeoJSON, depth and its uncertainty as ESRI ASCII grids and GeoTIFF.',
  },
  lines: {
    kind: 'text',
    isPath: true,
    flag: 'lines',
    help: 'GPX file of lips, feet, crests and thalwegs as routes.',
  },
  passes: {
    kind: 'text',
    isPath: true,
    flag: 'passes',
    help: 'GPX file of the passes that would settle most of what was drawn between passes, one route each.',
  },
  ...lakeGridOptions,
  force: forceOption,
} as const satisfies OptionDefinitions;

/** Options of `prospect`. */
export const prospectOptions = {
  places: {
    kind: 'count',
    min: 1,
    max: 100,
    default: 10,
    flag: 'places',
    help: 'Most places to propose.',
  },
  apart: {
    kind: 'length',
    min: 10,
    max: 1000,
    default: 40,
    flag: 'apart',
    help: 'Least distance of a proposed place from your marks and from the other places.',
  },
  fish: {
    kind: 'text',
    pattern: /^(?:auto|all|count ?> ?\d{1,3})$/,
    expected: 'auto, all, or a count such as "count>0"',
    default: 'auto',
    flag: 'fish',
    help: 'Marks that count as places with fish: those whose note or log counts more than so many ("count>0"); all but blanks; auto is count>0 where anything counts fish, else all.',
  },
  any: {
    kind: 'switch',
    default: false,
    flag: 'any',
    help: 'Where there is no pattern, list structure by how sure it is: unranked.',
  },
  log: {
    kind: 'list',
    isPath: true,
    isVariadic: true,
    flag: 'log',
    help: 'What was fished, as for plan: marks that gave fish, and blanks.',
  },
  gpx: {
    kind: 'text',
    isPath: true,
    flag: 'gpx',
    help: 'GPX of the proposed places (N1, N2 ...), each with its boat positions.',
  },
  ramp: {
    kind: 'text',
    flag: 'ramp',
    help: 'Where you launch, LAT,LON or the name of a mark: says how far each place is from it.',
  },
  passes: {
    kind: 'text',
    isPath: true,
    flag: 'passes',
    help: 'GPX file of the passes that would settle most about the proposed places and the lines near them, one route each.',
  },
  table: outputOptions.table,
  geojson: outputOptions.geojson,
  report: outputOptions.report,
  boat: {
    ...outputOptions.boat,
    help: 'HTML page for the phone in the boat with the proposed places: casts, map and log, with no network.',
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

/** Options of `undo`. */
export const undoOptions = {
  out: {
    kind: 'text',
    isPath: true,
    flag: 'out',
    help: 'File without our additions (a folder when there are several; - for standard output); default NAME.restored.gpx.',
  },
  force: forceOption,
} as const satisfies OptionDefinitions;

/** Options of `view`. */
export const viewOptions = {
  port: { kind: 'count', min: 0, max: 65535, default: 0, flag: 'port', help: 'Port; 0 takes any free one.' },
  host: {
    kind: 'text',
    default: '127.0.0.1',
    flag: 'host',
    help: 'Address to listen on; anything but 127.0.0.1 lets other machines see your spots.',
  },
} as const satisfies OptionDefinitions;

/** Option of the command that learns a unit's habits. */
export const unitCommandOptions = {
  save: {
    kind: 'text',
    flag: 'save',
    help: 'Keep what was found under this name, with your own settings, for enrich --unit NAME.',
  },
} as const satisfies OptionDefinitions;
