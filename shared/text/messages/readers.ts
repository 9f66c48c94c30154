import { inKilometers, inMeters } from '../../contract/index.ts';
import { messages, quote } from './make.ts';

const severalSources = (what: string, used: string, others: readonly string[]) =>
  `Several instruments give ${what}: ${used} is used, ${others.join(', ')} ${others.length === 1 ? 'is' : 'are'} not.`;

/** Messages about inputs in the open formats, and about map coordinates. */
export const readerMessages = {
  ...messages('soundings', 'error', {
    /** @param near A grid on which the positions are near the waypoints; `meters` to the nearest waypoint. */
    'crs-missing': (x: number, y: number, near?: { readonly crs: string; readonly meters: number }) => [
      `Positions such as ${x}, ${y} are on a map grid, and the file does not say which. Pass --crs EPSG:NUMBER, the number of the grid and zone${near === undefined ? '' : `: ${near.crs} would put them ${inMeters(near.meters, 0)} from the nearest waypoint`}.`,
      { repair: { setting: 'crs' }, ...(near && { values: { crs: near.crs } }) },
    ],
    'crs-unknown': (said: string) => [
      `The map grid ${quote(said)} is not known. Pass --crs EPSG:NUMBER, the number of the grid and zone.`,
      { repair: { setting: 'crs' } },
    ],
    'crs-datum': (said: string) =>
      `The map grid ${quote(said)} is on a datum whose difference from WGS 84 is not known here: positions could be off by 100 m. Convert the file to another grid, and pass the --crs EPSG:NUMBER of that grid.`,
    'crs-other': (given: string, said: string) =>
      `--crs ${given} contradicts the file, which says ${quote(said)}. Leave --crs out for this file.`,
    'crs-outside': (given: string, x: number, y: number) => [
      `Positions such as ${x}, ${y} are outside ${given}. Pass the grid and zone of this file with --crs; eastings come before northings.`,
      { repair: { setting: 'crs' } },
    ],
    'crs-elsewhere': (given: string, meters: number) => [
      `With ${given} this log is ${inKilometers(meters)} from the nearest waypoint. Pass the zone of this log with --crs.`,
      { repair: { setting: 'crs' } },
    ],
    'depth-unit': [
      'Nothing says whether these depths are in meters, feet or fathoms. Pass --depth-unit m, ft or fm.',
      { repair: { setting: 'depth-unit' } },
    ],
    vertical: (value: number) => [
      `Nothing says whether a height of ${value} is a depth or an elevation. Pass --vertical down (depths positive) or up (elevations).`,
      { repair: { setting: 'vertical' } },
    ],
    damaged: (kind: string, why: string) =>
      `This is ${kind}, but it cannot be read (${quote(why)}). Copy or export it again.`,
    'nothing-inside': (kind: string, what: string) =>
      `This is ${kind} without ${what}. Leave it out, or export it again with positions and depths.`,
    foreign: 'This is a binary file of a kind that is not read. Export it as CSV or GPX, or leave it out.',
    nested: 'This archive is nested too deep in other archives. Unpack it first.',
    'archive-large': (mebibytes: number) =>
      `This archive holds more than ${mebibytes / 1024} GiB. Unpack it first.`,
  }),
  ...messages('soundings', 'warning', {
    'crs-approximate': (given: string) =>
      `Positions may be off by ${inMeters(5, 0)}: ${given} is on an old datum, converted to WGS 84 by published parameters. Export in WGS 84 where you can.`,
    checksum: (sentence: string) =>
      `Sentence dropped: its checksum does not fit ${quote(sentence)}, so it is damaged.`,
    sentence: (sentence: string) =>
      `Sentence dropped: ${quote(sentence)} does not have the fields of its kind.`,
  }),
  ...messages('soundings', 'note', {
    'passed-over': (names: readonly string[]) =>
      `Skipped in the archive, because they are not named like logs: ${names.slice(0, 5).join(', ')}${names.length > 5 ? ` and ${names.length - 5} more` : ''}.`,
    'xyz-order':
      'Columns without names are read as longitude (or easting), latitude (or northing), height. If the order is different, give it with --columns.',
    'several-positions': (used: string, others: readonly string[]) =>
      severalSources('positions', used, others),
    'several-depths': (used: string, others: readonly string[]) => severalSources('depths', used, others),
    'depth-offset': (sentence: string, offset: number) =>
      `${inMeters(offset, 2)} is added to the depths of ${sentence}, which gives it as the distance from the waterline down to the transducer.`,
    'grid-cells': (cells: number, meters: number) =>
      `Nothing smaller than ${inMeters(meters, 1)} can be seen: that is the width of the ${cells} grid cells, each read as one depth.`,
  }),
};
