import { type OptionDefinitions, type OptionValues, switchOption } from '../../../shared/contract/index.ts';

/** Options for the chartplotter that gets the GPX. Limits are off by default, since they change user data. */
export const gpxOutputOptions = {
  plain: switchOption('plain', 'Write comments and boat positions only, no extension elements.'),
  maxName: {
    kind: 'count',
    min: 4,
    max: 1000,
    flag: 'max-name',
    help: 'Longest name the unit keeps, in characters; longer names are cut but stay unique.',
  },
  ascii: switchOption('ascii', 'Write names in plain ASCII, for units that show nothing else.'),
  capitals: switchOption('capitals', 'Write names in capitals, for units that keep nothing else.'),
  textIn: {
    kind: 'choice',
    choices: ['cmt', 'desc'],
    default: 'cmt',
    flag: 'text-in',
    help: 'Element for the text of boat positions: cmt, or desc for units that show desc instead.',
  },
  maxWaypoints: {
    kind: 'count',
    min: 3,
    max: 1_000_000,
    flag: 'max-waypoints',
    help: 'Maximum number of waypoints in one file; the rest go into further files, and none is dropped.',
  },
  maxText: {
    kind: 'count',
    min: 20,
    max: 100_000,
    flag: 'max-text',
    help: 'Longest comment the unit keeps, in characters; only added text is shortened.',
  },
  downslopeSymbol: {
    kind: 'text',
    flag: 'downslope-symbol',
    help: 'Symbol name (sym) of boat positions on the deep side, as the unit spells it.',
  },
  upslopeSymbol: {
    kind: 'text',
    flag: 'upslope-symbol',
    help: 'Symbol name (sym) of boat positions on the shallow side, as the unit spells it.',
  },
  symbols: {
    kind: 'list',
    flag: 'symbols',
    help: 'Symbol names that the unit knows, as found by downslope unit --save; boat positions get no other symbols.',
  },
} as const satisfies OptionDefinitions;

export type GpxOutputOptions = OptionValues<typeof gpxOutputOptions>;

export const gpxMergeOptions = {
  merge: switchOption('merge', 'Put the waypoints of all input files into one output file.'),
  join: {
    kind: 'length',
    min: 0,
    max: 1000,
    flag: 'join',
    help: 'With --merge: join waypoints of different files that have the same name and are no farther apart than this.',
  },
} as const satisfies OptionDefinitions;

/** Options for comments and for the number of boat positions. */
export const commentOptions = {
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
    help: 'Number of next angles, casts for when the fish stop biting, to write as boat positions (NAME A1, NAME A2 ...) in addition to the two sides.',
  },
} as const satisfies OptionDefinitions;
