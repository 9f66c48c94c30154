import type { Diagnostic } from '../../contract/diagnostic.ts';
import { type At, quote } from './soundings.ts';

/** Messages of sounding logs that are refused whole. */

const refuse =
  (code: string) =>
  (at: At, message: string): Diagnostic => ({
    severity: 'error',
    code: `soundings/${code}`,
    message,
    place: at,
  });

export const logUnreadable = (at: At, why: string) =>
  refuse('unreadable')(
    at,
    `Unexpected failure to read the log (${why}), expected a readable file. Check the path and its permissions.`,
  );

export const logEmpty = (at: At) =>
  refuse('empty-file')(
    at,
    'Unexpected empty file, expected a log with a header. Copy it from the unit again, or leave it out.',
  );

export const logForeign = (at: At, kind: string) =>
  refuse('foreign')(
    at,
    `Unexpected ${kind}, expected a sounding log as CSV text or GPX. Export or unpack it first.`,
  );

export const logEncoding = (at: At) =>
  refuse('encoding')(
    at,
    'Unexpected bytes that are no UTF-16 text, expected UTF-16 as its first bytes say. Save the log as UTF-8.',
  );

export const lineTooLong = (at: At, most: number) =>
  refuse('long-line')(
    at,
    `Unexpected line of more than ${most} bytes, expected lines of a log. This is not CSV text.`,
  );

export const noHeader = (at: At, first: string) =>
  refuse('no-header')(
    at,
    `Unexpected first row ${quote(first)}, expected a header with column names. Say what the columns are: --columns lat,lon,depth[,time].`,
  );

export const headerUnknown = (at: At, seen: readonly string[], missing: readonly string[]) =>
  refuse('header-unknown')(
    at,
    `Unexpected columns ${seen.map((name) => quote(name)).join(', ')}, expected to recognize ${missing.join(', ')}. Say which they are: --map ${missing.map((role) => `${role}=NAME`).join(',')}.`,
  );

export const projectedRefused = (at: At, names: readonly string[]) =>
  refuse('projected')(
    at,
    `Unexpected columns ${names.map((name) => quote(name)).join(', ')}, expected degrees: these are meters on a map grid, and which grid is not said. Export latitude and longitude.`,
  );

export const twoColumns = (at: At, role: string, names: readonly string[]) =>
  refuse('two-columns')(
    at,
    `Unexpected ${names.length} columns for ${role}: ${names.map((name) => quote(name)).join(', ')}, expected one. Choose: --map ${role}=NAME (or ${role}=#NUMBER, counted from 1).`,
  );

export const mapUnknown = (at: At, name: string, seen: readonly string[]) =>
  refuse('map')(
    at,
    `Unexpected --map name ${quote(name)}, expected one of the columns ${seen.map((column) => quote(column)).join(', ')}. Correct --map.`,
  );

export const mapMalformed = (text: string, roles: readonly string[]) =>
  refuse('map')(
    {},
    `Unexpected ${quote(text)}, expected ROLE=NAME with ROLE one of ${roles.join(', ')}. Correct --map or --columns.`,
  );

export const depthUnitUnknown = (at: At, column: string) =>
  refuse('depth-unit')(
    at,
    `Unexpected column "${column}" without a unit, expected one: a wrong guess is wrong by 3.28 times. Pass --depth-unit m, ft or fm, or name the column ${column}_m or ${column}_ft.`,
  );

export const commaDecimalComma = (at: At, found: number, expected: number) =>
  refuse('decimal-comma')(
    at,
    `Unexpected ${found} fields, expected ${expected} as in the header; decimal comma with comma separator? Export with semicolons or decimal points.`,
  );

export const mixedDecimals = (at: At, column: string) =>
  refuse('decimal-mark')(
    at,
    `Unexpected decimal commas and decimal points in column "${column}", expected one kind. Which is which cannot be known; export again.`,
  );

export const headerChangedUnknown = (at: At, seen: readonly string[], missing: readonly string[]) =>
  refuse('header-changed')(
    at,
    `Unexpected second header ${seen.map((name) => quote(name)).join(', ')}, expected to recognize ${missing.join(', ')}. Split the file here, or pass --map.`,
  );

export const swappedPositions = (at: At) =>
  refuse('swapped')(
    at,
    'Unexpected latitudes beyond 90 degrees throughout that fit as longitudes, expected -90 to 90: latitude and longitude look swapped. Pass --map lat=NAME,lon=NAME.',
  );

export const packedPositions = (at: At, text: string) =>
  refuse('packed')(
    at,
    `Unexpected position ${quote(text)}, expected degrees: it looks like degrees and minutes run together. Pass --position-format packed-minutes if it is.`,
  );

export const ambiguousPosition = (at: At, text: string) =>
  refuse('packed-ambiguous')(
    at,
    `Unexpected position ${quote(text)}, which can be degrees or degrees and minutes run together, expected one meaning. Pass --position-format degrees or packed-minutes.`,
  );

export const scaledPositions = (at: At, text: string) =>
  refuse('scaled')(
    at,
    `Unexpected position ${quote(text)}, expected degrees: it looks scaled to a whole number. Pass --position-scale 10000000 (1e7-scaled) or 11930464.7111 (semicircles).`,
  );

export const hemisphereSign = (at: At, text: string) =>
  refuse('hemisphere')(
    at,
    `Unexpected minus sign beside a hemisphere letter in ${quote(text)}, expected one of them. Which is meant cannot be known; export with one.`,
  );

export const datumUnknown = (at: At, name: string) =>
  refuse('datum')(
    at,
    `Unexpected datum ${quote(name)}, expected WGS 84. Export in WGS 84, or pass --datum ${quote(name)} if it agrees within a few meters.`,
  );

export const dayNumbers = (at: At, text: string) =>
  refuse('day-number')(
    at,
    `Unexpected time ${quote(text)}, expected a date: it looks like a spreadsheet's day number. Pass --spreadsheet-days if it is.`,
  );

export const dateOrderUnknown = (at: At, text: string) =>
  refuse('date-order')(
    at,
    `Unexpected date ${quote(text)}, expected to know which number is the day, and no row proves it. Pass --date-order dmy or mdy.`,
  );

export const verticalUnknown = (at: At, column: string, share: number) =>
  refuse('vertical')(
    at,
    `Unexpected column "${column}" with ${Math.round(share * 100)} % negative values, expected depths or elevations throughout. Pass --vertical down (depths) or up (elevations).`,
  );

export const noPositions = (at: At) =>
  refuse('no-positions')(
    at,
    'Unexpected log of times and depths without positions, expected positions or a track. Pass --tracks with the GPX track of that day.',
  );

export const tooManyDropped = (at: At, dropped: number, read: number, limit: number, main: string) =>
  refuse('too-many-dropped')(
    at,
    `Unexpected ${dropped} of ${read} rows that could not be read (mostly ${main}), expected at most ${Math.round(limit * 100)} %: most of this file would be lost. Mend it, or pass --max-dropped.`,
  );

export const changedWhileRead = (at: At) =>
  refuse('changed')(
    at,
    'Unexpected change of the file while it was read, expected it to stay. Run again when recording or copying has ended.',
  );

export const zoneUnknown = (text: string) =>
  refuse('zone')(
    {},
    `Unexpected time zone ${quote(text)}, expected UTC, an offset such as -05:00 or a name such as Europe/Oslo. Correct --tz.`,
  );

export const noFixes = (at: At) =>
  refuse('no-fixes')(
    at,
    'Unexpected tracks without timed points, expected fixes with times. Pass --tracks with a recorded track, not a route or plan.',
  );
