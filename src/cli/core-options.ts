import type { OptionDefinitions } from '../../shared/contract/index.ts';
import { lakeGridOptions } from '../formats/layers/index.ts';

/** Options of the commands themselves that say where things are read from. */
export const inputOptions = {
  soundings: {
    kind: 'list',
    isPath: true,
    isVariadic: true,
    flag: 'soundings',
    help: 'Sounding logs, CSV or GPX tracks with depths: files or folders.',
  },
  tracks: {
    kind: 'list',
    isPath: true,
    isVariadic: true,
    flag: 'tracks',
    help: 'GPX tracks that give positions to logs with times but no positions.',
  },
  salvage: {
    kind: 'switch',
    flag: 'salvage',
    default: false,
    help: 'Read waypoint files that were cut short, up to the cut, and ignore NUL bytes after their end.',
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
    help: 'Diagnostics as JSON lines on standard error.',
  },
  quiet: { kind: 'switch', flag: 'quiet', default: false, help: 'No summary; diagnostics only.' },
} as const satisfies OptionDefinitions;

/** Options of `enrich` that say what is written and where. */
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
  table: { kind: 'text', isPath: true, flag: 'table', help: 'CSV table, one row per waypoint.' },
  cellGuard: {
    kind: 'switch',
    default: true,
    flag: 'cell-guard',
    help: "In the table, put ' before names and texts that a spreadsheet would run as a formula.",
  },
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
  bearings: {
    kind: 'choice',
    choices: ['magnetic', 'true'],
    default: 'magnetic',
    flag: 'bearings',
    help: 'Bearings in comments: magnetic (marked M) or true (marked T).',
  },
  angles: {
    kind: 'count',
    min: 0,
    max: 9,
    default: 0,
    flag: 'angles',
    help: 'Next angles written as further boat positions (NAME A1, NAME A2 ...) besides the two sides.',
  },
  force: {
    kind: 'switch',
    flag: 'force',
    default: false,
    help: 'Replace outputs that exist; without it they are refused.',
  },
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
    help: 'Write what this command line says of how logs are read into LOG.yaml beside each log, for every later run.',
  },
  force: {
    kind: 'switch',
    flag: 'force',
    default: false,
    help: 'Replace the file of passes and saved settings if they exist.',
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
  ...lakeGridOptions,
  force: { kind: 'switch', flag: 'force', default: false, help: 'Replace outputs that exist.' },
} as const satisfies OptionDefinitions;

/** Options of `undo`. */
export const undoOptions = {
  out: {
    kind: 'text',
    isPath: true,
    flag: 'out',
    help: 'File without our additions (a folder when there are several; - for standard output); default NAME.restored.gpx.',
  },
  force: { kind: 'switch', flag: 'force', default: false, help: 'Replace the file if it exists.' },
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
