import type { OptionDefinition, OptionDefinitions, OptionValues } from '../contract/index.ts';
import { readZones } from '../geo/index.ts';
import { LINE_PATTERN, parseLine } from './line.ts';
import { readLureBox } from './lure-box.ts';
import { parseWind, WIND_PATTERN } from './wind.ts';

/** Options shared by several plugins or commands. Each has one definition, so a flag has one meaning. */

export const unitsOption = {
  kind: 'choice',
  choices: ['ft', 'm'],
  default: 'ft',
  flag: 'units',
  help: 'Units of comments, table and report, and of options without a suffix.',
} as const satisfies OptionDefinition;

export const dateOption = {
  kind: 'date',
  default: 'today',
  flag: 'date',
  help: 'Day the plan is for, such as 2026-05-18 or 5/18/2026; sets magnetic declination and water level.',
} as const satisfies OptionDefinition;

export const waterLevelOption = {
  kind: 'length',
  flag: 'water-level',
  help: 'Water level on the day of the plan, from the same zero as the readings of --levels; negative when below it.',
} as const satisfies OptionDefinition;

export const draftOption = {
  kind: 'length',
  min: 0,
  max: 20,
  default: 0.9144,
  flag: 'draft',
  help: 'Least depth in which the boat may sit.',
} as const satisfies OptionDefinition;

const lineOption = {
  kind: 'text',
  default: '12',
  flag: 'line',
  pattern: LINE_PATTERN,
  isValid: (text) => parseLine(text) !== undefined,
  expected:
    'a line of 0.05 to 1 mm, such as 12, 0.285mm, "12 nylon" or "30 braid" (nylon is mono, and without a word it is fluorocarbon)',
  help: 'Your line: lb test (12) or diameter (0.285mm), then nylon (mono) or braid if it is not fluorocarbon: "12 nylon".',
} as const satisfies OptionDefinition;

export const castOption = {
  kind: 'distance',
  min: 10,
  max: 80,
  default: 45.72,
  flag: 'cast',
  help: 'Longest cast you make. A number without a unit is in yards, or in meters with --units m.',
} as const satisfies OptionDefinition;

const luresOption = {
  kind: 'file',
  format: 'csv',
  flag: 'lures',
  check: (file) => readLureBox(file).problems,
  help: 'Your lure box, CSV with name and label_ft (the depth printed on the box), and optionally reaches_ft, cast_m and line_lb, which calibrate a lure. Without it, generic divers are used.',
} as const satisfies OptionDefinition;

export const fishDepthOption = {
  kind: 'range',
  flag: 'fish-depth',
  help: 'Depths of the fish, such as 18-24ft, for waypoints whose notes give none.',
} as const satisfies OptionDefinition;

export const windOption = {
  kind: 'text',
  flag: 'wind',
  pattern: WIND_PATTERN,
  isValid: (text) => parseWind(text) !== undefined,
  expected: 'a wind such as SW@12mph or 210@12mph (the direction it comes from, and its speed)',
  help: 'Wind of the day, as the direction it comes from and its speed, such as SW@12mph or 210@12mph: casts into it are planned shorter and casts with it longer, by rule of thumb.',
} as const satisfies OptionDefinition;

const currentOption = {
  kind: 'angle',
  min: 0,
  max: 360,
  flag: 'current',
  help: 'Direction the current flows to, in degrees from true north: of equally good casts, one that retrieves the lure with the current is preferred, by rule of thumb.',
} as const satisfies OptionDefinition;

const hazardsOption = {
  kind: 'list',
  flag: 'hazards',
  default: ['stump', 'brush', 'timber', 'snag', 'laydown', 'standing tree', 'hazard'],
  help: 'Words in waypoint texts for things that snag a lure: casts avoid such waypoints where another cast is as good, and a cast over one is reported.',
} as const satisfies OptionDefinition;

export const zonesOption = {
  kind: 'file',
  format: 'json',
  flag: 'zones',
  check: ({ file, value }) => readZones(value, file).diagnostics,
  help: 'Closed and slow water as GeoJSON polygons with rule (closed or slow), speed ("5mph"), name, and open and close for the hours when the rule does not hold. No boat position is in a zone that is closed at any hour.',
} as const satisfies OptionDefinition;

/** Options shared by the plugins that plan casts. */
export const CAST_OPTIONS = {
  draft: draftOption,
  line: lineOption,
  cast: castOption,
  lures: luresOption,
  wind: windOption,
  current: currentOption,
  hazards: hazardsOption,
  zones: zonesOption,
} as const satisfies OptionDefinitions;

export type CastOptions = OptionValues<typeof CAST_OPTIONS>;
