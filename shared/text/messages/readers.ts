import { inKilometers, inMeters, inMetersOrKilometers } from '../../contract/index.ts';
import { messages, quote } from './make.ts';

const severalSources = (what: string, used: string, others: readonly string[]) =>
  `Several kinds of sentences give ${what}. Only ${used} is used, not ${others.join(' or ')}.`;

/** Returns a number without the digits that binary fractions add. */
const plain = (value: number): number => Number(value.toPrecision(7));

/**
 * Returns the remedy for a map grid. `grid` is `--crs EPSG:32617` if the option gives the grid, `EPSG:32617`
 * if the file gives its number, which `--crs` must not contradict, or else a name from the file.
 */
const remedyOf = (grid: string, fromOption: string, fromFile: string): string =>
  grid.startsWith('--crs')
    ? fromOption
    : grid.startsWith('EPSG:')
      ? fromFile
      : 'Add --crs EPSG:NUMBER with the number of the grid and zone';

/** Names a map grid; see `remedyOf`. */
const gridName = (grid: string): string =>
  grid.startsWith('--crs') ? `the map grid of ${grid}` : `the map grid ${quote(grid)}`;

/** The repair of a map grid; none if the file gives its number, which `--crs` must not contradict. */
const repairOf = (grid: string) => (grid.startsWith('EPSG:') ? {} : { repair: { setting: 'crs' } });

/** Messages about inputs in the open formats, and about map coordinates. */
export const readerMessages = {
  ...messages('soundings', 'error', {
    /** @param near A grid on which the position is near a waypoint, and the distance to that waypoint, m. */
    'crs-missing': (x: number, y: number, near?: { readonly crs: string; readonly meters: number }) => [
      `Positions such as ${plain(x)}, ${plain(y)} are on a map grid, and the file does not say which. Add --crs EPSG:NUMBER with the number of the grid and zone.${near === undefined ? '' : ` With --crs ${near.crs} this position is ${inMetersOrKilometers(near.meters)} from the nearest waypoint.`}`,
      { repair: { setting: 'crs' }, ...(near && { values: { crs: near.crs } }) },
    ],
    'crs-unknown': (grid: string) => [
      `The positions cannot be read: ${gridName(grid)} is not known here. ${remedyOf(grid, 'Correct the number in --crs', 'Export the file in latitude and longitude')}.`,
      repairOf(grid),
    ],
    'crs-datum': (grid: string) =>
      `This file is not used: its positions could be off by ${inMeters(100)}, because ${gridName(grid)} is on a datum whose difference from WGS 84 is not known here. Export the file in latitude and longitude on WGS 84.`,
    'crs-other': (given: string, said: string) =>
      `This file is not used: it says that its map grid is ${said}, not ${given} as in --crs. Leave --crs out; if other logs need it, put "crs: ${given}" in a file next to each of them, such as day1.csv.yaml.`,
    'crs-outside': (grid: string, x: number, y: number) => [
      `This file is not used: positions such as ${plain(x)}, ${plain(y)} are outside the area of ${gridName(grid)}. ${remedyOf(grid, 'Check the number in --crs. If northings come first in a file without a header, add --columns northing,easting,depth', 'Check that eastings come before northings in the file, or export it in latitude and longitude')}.`,
      repairOf(grid),
    ],
    'crs-elsewhere': (grid: string, meters: number) => [
      `This log is not used: on ${gridName(grid)} it is ${inKilometers(meters)} from the nearest waypoint. Check ${grid.startsWith('--crs') ? 'the number in --crs, and ' : ''}that log and waypoints are of the same lake.`,
      grid.startsWith('--crs') ? repairOf(grid) : {},
    ],
    'depth-unit': [
      'Nothing says whether these depths are in meters, feet or fathoms. Add --depth-unit m, ft or fm.',
      { repair: { setting: 'depth-unit' } },
    ],
    /** @param value A value above 0. @param hasNegative True when other values are below 0. */
    vertical: (value: number, hasNegative: boolean) => [
      `Nothing says whether values such as ${plain(value)} are depths or elevations. Add --vertical down for depths${hasNegative ? ', or --vertical up if the negative values are the depths' : '. If they are heights above sea level, export depths instead'}.`,
      { repair: { setting: 'vertical' } },
    ],
    damaged: (kind: string, why = 'it is damaged, incomplete or of a form that is not known here') =>
      `This is ${kind}, but it cannot be read: ${why}. Copy or export the file again, if need be in another format.`,
    /** @param what What has more than can be read: `a sheet has more than 20 million cells`. */
    'damaged large': (kind: string, what: string) =>
      `This is ${kind}, but it cannot be read: ${what}. Export it in smaller parts.`,
    'nothing-inside': (kind: string, what: string) =>
      `Nothing in this file can be used: this is ${kind} without ${what}. Leave the file out, or export it again.`,
    'nothing-inside depths':
      'Nothing in this file can be used: it has no depths. Leave the file out, or export it again.',
    'nothing-inside waypoints':
      'No waypoints can be read from this file. If it is a sonar log, give it with --soundings. Otherwise export the waypoints again, as GPX.',
    foreign:
      'This file is not read: it is a binary file of an unknown kind. Export the log as CSV or GPX, or leave the file out.',
    nested:
      'This file is not read: it is an archive inside too many other archives. Unpack the archives first.',
    'archive-large': (mebibytes: number) =>
      `This archive is not read: it unpacks to more than ${mebibytes / 1024} GiB. Unpack it first.`,
  }),
  ...messages('soundings', 'warning', {
    'crs-approximate': (grid: string) =>
      `Positions may be off by ${inMeters(5, 0)}: ${gridName(grid)} is on an old datum, which is converted to WGS 84 by published parameters. Export the log in WGS 84 if you can.`,
    checksum: (sentence: string) =>
      `Sentence dropped: the checksum of ${quote(sentence)} does not match, so it is damaged.`,
    sentence: (sentence: string) => `Sentence dropped: ${quote(sentence)} has no position that can be read.`,
  }),
  ...messages('soundings', 'note', {
    'passed-over': (names: readonly string[]) =>
      `${names.length === 1 ? 'A file in the archive was skipped, because it is not named like a log' : 'Some files in the archive were skipped, because they are not named like logs'}: ${names.slice(0, 5).join(', ')}${names.length > 5 ? ` and ${names.length - 5} more` : ''}.`,
    'xyz-order':
      'Columns without names are read as longitude (or easting), latitude (or northing), and depth or height, in that order. If the order is different, name the columns, for example --columns lat,lon,depth.',
    'several-positions': (used: string, others: readonly string[]) =>
      severalSources('positions', used, others),
    'several-depths': (used: string, others: readonly string[]) => severalSources('depths', used, others),
    'depth-offset': (sentence: string, offset: number) =>
      `${inMeters(offset, 2)} is added to the depths of ${sentence}: the log gives this as the distance from the waterline down to the transducer.`,
    'grid-cells': (cells: number, meters: number) =>
      `Nothing smaller than ${inMeters(meters, 1)} can be seen in this grid: ${cells === 1 ? 'its one cell' : `each of its ${cells} cells`} has that width and is read as one depth.`,
  }),
};
