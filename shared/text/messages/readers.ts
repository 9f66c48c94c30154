import { type Diagnostic, inKilometers, inMeters } from '../../contract/index.ts';
import { type At, logError, logNote, logWarning } from './make.ts';
import { quote } from './quote.ts';

/** Messages about inputs in the open formats, and about map coordinates. */

/** @param near A grid that would put the positions near the waypoints, and their distance from these, m. */
export const crsMissing = (
  at: At,
  x: number,
  y: number,
  near?: { readonly crs: string; readonly meters: number },
): Diagnostic => ({
  ...logError('crs-missing', { setting: 'crs' })(
    at,
    `Positions such as ${x}, ${y} are on a map grid, and the file does not say which. Pass --crs EPSG:NUMBER, the number of the grid and zone${near === undefined ? '' : `: ${near.crs} would put them ${inMeters(near.meters, 0)} from the nearest waypoint`}.`,
  ),
  ...(near === undefined ? {} : { values: { crs: near.crs } }),
});

export const crsUnknown = (at: At, said: string) =>
  logError('crs-unknown', { setting: 'crs' })(
    at,
    `The map grid ${quote(said)} is not known. Pass --crs EPSG:NUMBER, the number of the grid and zone.`,
  );

export const crsDatum = (at: At, said: string) =>
  logError('crs-datum')(
    at,
    `The map grid ${quote(said)} is on a datum whose difference from WGS 84 is not known here: positions could be off by 100 m. Convert the file to another grid, and pass the --crs EPSG:NUMBER of that grid.`,
  );

export const crsOther = (at: At, given: string, said: string) =>
  logError('crs-other')(
    at,
    `--crs ${given} contradicts the file, which says ${quote(said)}. Leave --crs out for this file.`,
  );

export const crsOutside = (at: At, given: string, x: number, y: number) =>
  logError('crs-outside', { setting: 'crs' })(
    at,
    `Positions such as ${x}, ${y} are outside ${given}. Pass the grid and zone of this file with --crs; eastings come before northings.`,
  );

export const crsElsewhere = (at: At, given: string, meters: number) =>
  logError('crs-elsewhere', { setting: 'crs' })(
    at,
    `With ${given} this log is ${inKilometers(meters)} from the nearest waypoint. Pass the zone of this log with --crs.`,
  );

export const crsApproximate = (at: At, given: string) =>
  logWarning('crs-approximate')(
    at,
    `Positions may be off by ${inMeters(5, 0)}: ${given} is on an old datum, converted to WGS 84 by published parameters. Export in WGS 84 where you can.`,
  );

export const depthUnitMissing = (at: At) =>
  logError('depth-unit', { setting: 'depth-unit' })(
    at,
    'Nothing says the unit of these depths, and a wrong guess is off by a factor of 3.28. Pass --depth-unit m, ft or fm.',
  );

export const verticalMissing = (at: At, value: number) =>
  logError('vertical', { setting: 'vertical' })(
    at,
    `Nothing says whether a height of ${value} is a depth or an elevation. Pass --vertical down (depths positive) or up (elevations).`,
  );

export const fileDamaged = (at: At, kind: string, why: string) =>
  logError('damaged')(at, `This is ${kind}, but it cannot be read (${quote(why)}). Copy or export it again.`);

export const fileWithout = (at: At, kind: string, what: string) =>
  logError('nothing-inside')(
    at,
    `This is ${kind} without ${what}. Leave it out, or export it with soundings.`,
  );

export const binaryFile = (at: At) =>
  logError('foreign')(
    at,
    'This is a binary file of a kind that is not read. Export it as CSV or GPX, or leave it out.',
  );

export const archiveTooDeep = (at: At) =>
  logError('nested')(at, 'This archive is nested too deep in other archives. Unpack it first.');

export const archiveTooLarge = (at: At, mebibytes: number) =>
  logError('archive-large')(at, `This archive holds more than ${mebibytes} MiB. Unpack it first.`);

export const entriesPassedOver = (at: At, names: readonly string[]) =>
  logNote('passed-over')(
    at,
    `Skipped in the archive, because they are not named like logs: ${names.slice(0, 5).join(', ')}${names.length > 5 ? ` and ${names.length - 5} more` : ''}.`,
  );

export const xyzOrder = (at: At) =>
  logNote('xyz-order')(
    at,
    'Columns without names are read as longitude (or easting), latitude (or northing), height. Name others with --columns.',
  );

export const checksumWrong = (at: At, sentence: string) =>
  logWarning('checksum')(
    at,
    `Sentence dropped: its checksum does not fit ${quote(sentence)}, so it is damaged.`,
  );

export const sentenceMalformed = (at: At, sentence: string) =>
  logWarning('sentence')(at, `Sentence dropped: ${quote(sentence)} does not have the fields of its kind.`);

export const severalSources = (at: At, what: string, used: string, others: readonly string[]) =>
  logNote(`several-${what}`)(
    at,
    `Several instruments give ${what}: ${used} is used, ${others.join(', ')} is not.`,
  );

export const offsetAdded = (at: At, sentence: string, offset: number) =>
  logNote('depth-offset')(
    at,
    `${inMeters(offset, 2)} from the waterline down to the transducer, as ${sentence} gives it, is added to its depths.`,
  );

export const cellsTaken = (at: At, cells: number, meters: number) =>
  logNote('grid-cells')(
    at,
    `${cells} cells of a grid, ${inMeters(meters, 1)} wide, are read as soundings: what is smaller than a cell cannot be seen.`,
  );
