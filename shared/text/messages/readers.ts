import type { Diagnostic, Severity } from '../../contract/diagnostic.ts';
import { type At, quote } from './soundings.ts';

/** Messages about inputs in the open formats, and about map coordinates. */

const say =
  (severity: Severity, code: string) =>
  (at: At, message: string): Diagnostic => ({ severity, code: `soundings/${code}`, message, place: at });

export const crsMissing = (at: At, x: number, y: number) =>
  say('error', 'crs-missing')(
    at,
    `Unexpected coordinates ${x}, ${y}, expected degrees: these are on a map grid, and which grid is not said. Pass --crs EPSG:NUMBER, the number of the grid.`,
  );

export const crsUnknown = (at: At, said: string) =>
  say('error', 'crs-unknown')(
    at,
    `Unexpected map grid ${quote(said)}, expected one whose definition is known. Pass --crs EPSG:NUMBER, the number of the grid.`,
  );

export const crsDatum = (at: At, said: string) =>
  say('error', 'crs-datum')(
    at,
    `Unexpected map grid ${quote(said)}, expected a datum whose difference to WGS 84 is known here: positions could be off by 100 m. Convert the file to WGS 84, and pass --crs EPSG:NUMBER of what it is then.`,
  );

export const crsOther = (at: At, given: string, said: string) =>
  say('error', 'crs-other')(
    at,
    `Unexpected --crs ${given}, expected what the file says itself: ${quote(said)}. Leave --crs out, or give the one of the file.`,
  );

export const crsOutside = (at: At, given: string, x: number, y: number) =>
  say('error', 'crs-outside')(
    at,
    `Unexpected coordinates ${x}, ${y}, expected a place within ${given}. Pass the grid and zone of the file with --crs, and the column of eastings first.`,
  );

export const crsElsewhere = (at: At, given: string, kilometers: number) =>
  say('error', 'crs-elsewhere')(
    at,
    `Unexpected place ${Math.round(kilometers)} km from the nearest waypoint, expected the same lake: with ${given} the log lies elsewhere. Pass the zone of the log with --crs.`,
  );

export const crsApproximate = (at: At, given: string) =>
  say('warning', 'crs-approximate')(
    at,
    `Positions were brought from ${given} to WGS 84 by published parameters of its datum, expected exact ones: they may be off by several meters. Export in WGS 84 where you can.`,
  );

export const depthUnitMissing = (at: At) =>
  say('error', 'depth-unit')(
    at,
    'Unexpected depths without a unit, expected to know it: meters taken for feet are wrong by 3.28. Pass --depth-unit m, ft or fm.',
  );

export const verticalMissing = (at: At, value: number) =>
  say('error', 'vertical')(
    at,
    `Unexpected height ${value}, expected to know whether it is a depth (positive down) or an elevation (negative under water). Pass --vertical down or up.`,
  );

export const fileDamaged = (at: At, kind: string, why: string) =>
  say('error', 'damaged')(
    at,
    `Unexpected content of ${kind} (${quote(why)}), expected a whole file. Copy or export it again.`,
  );

export const fileWithout = (at: At, kind: string, what: string) =>
  say('error', 'nothing-inside')(
    at,
    `Unexpected ${kind} without ${what}, expected some. Leave the file out, or export it with soundings.`,
  );

export const binaryFile = (at: At) =>
  say('error', 'foreign')(
    at,
    'Unexpected binary file of a kind that is not read, expected a sounding log in an open format. Export it as CSV or GPX.',
  );

export const archiveTooDeep = (at: At) =>
  say('error', 'nested')(
    at,
    'Unexpected archive in an archive in an archive, expected logs. Unpack it first.',
  );

export const archiveTooLarge = (at: At, mebibytes: number) =>
  say('error', 'archive-large')(
    at,
    `Unexpected content of more than ${mebibytes} MiB in an archive, expected logs that fit in memory. Unpack it first.`,
  );

export const entriesPassedOver = (at: At, names: readonly string[]) =>
  say('note', 'passed-over')(
    at,
    `Passed over in the archive: ${names.slice(0, 5).join(', ')}${names.length > 5 ? ` and ${names.length - 5} more` : ''}: not named as logs.`,
  );

export const xyzOrder = (at: At) =>
  say('note', 'xyz-order')(
    at,
    'Columns without names are taken as longitude, latitude and height. Say otherwise with --columns.',
  );

export const checksumWrong = (at: At, sentence: string) =>
  say('warning', 'checksum')(
    at,
    `Unexpected checksum of ${quote(sentence)}, expected that of its characters. Sentence left out: it was damaged on the way.`,
  );

export const sentenceMalformed = (at: At, sentence: string) =>
  say('warning', 'sentence')(
    at,
    `Unexpected content of ${quote(sentence)}, expected the fields of its kind. Sentence left out.`,
  );

export const severalSources = (at: At, what: string, used: string, others: readonly string[]) =>
  say('note', `several-${what}`)(
    at,
    `Several sources of ${what}: ${used} is used, ${others.join(', ')} is not.`,
  );

export const depthFrom = (at: At, sentence: string, from: string) =>
  say('note', 'depth-from')(at, `Depths of ${sentence} count from ${from}.`);

export const cellsTaken = (at: At, cells: number, meters: number) =>
  say('note', 'grid-cells')(
    at,
    `Took ${cells} cells of a grid, about ${meters.toFixed(1)} m wide, as soundings: what is finer than a cell cannot be seen.`,
  );
