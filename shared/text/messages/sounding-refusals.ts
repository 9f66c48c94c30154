import { type At, logError } from './make.ts';
import { quote } from './quote.ts';

/** Messages for sounding logs that are refused as a whole. */

export const logUnreadable = (at: At, why: string) =>
  logError('unreadable')(at, `This log cannot be read (${why}). Check its path and permissions.`);

export const logEmpty = (at: At) =>
  logError('empty-file')(at, 'This log is empty. Copy it from the unit again, or leave it out.');

export const logForeign = (at: At, kind: string) =>
  logError('foreign')(at, `This is ${kind}, not a sounding log. Export it as CSV or GPX, or leave it out.`);

export const logEncoding = (at: At) =>
  logError('encoding')(at, 'The first bytes say UTF-16, but the text is not. Save the log as UTF-8.');

export const lineTooLong = (at: At, most: number) =>
  logError('long-line')(at, `A line here is longer than ${most} bytes, so this is not CSV text.`);

export const noHeader = (at: At, first: string) =>
  logError('no-header', { setting: 'columns' })(
    at,
    `No header: the first row is ${quote(first)}. Name the columns with --columns lat,lon,depth[,time].`,
  );

export const headerUnknown = (at: At, seen: readonly string[], missing: readonly string[]) =>
  logError('header-unknown', { setting: 'map', columns: seen })(
    at,
    `No column for ${missing.join(', ')} among ${seen.map((name) => quote(name)).join(', ')}. Name them: --map ${missing.map((role) => `${role}=NAME`).join(',')}.`,
  );

export const projectedRefused = (at: At, names: readonly string[]) =>
  logError('projected', { setting: 'crs' })(
    at,
    `Columns ${names.map((name) => quote(name)).join(', ')} hold meters on a map grid, and the file does not say which. Export latitude and longitude.`,
  );

export const twoColumns = (at: At, role: string, names: readonly string[]) =>
  logError('two-columns', { setting: 'map', columns: names })(
    at,
    `${names.length} columns could be the ${role}: ${names.map((name) => quote(name)).join(', ')}. Choose one: --map ${role}=NAME (or ${role}=#NUMBER, counted from 1).`,
  );

export const mapUnknown = (at: At, name: string, seen: readonly string[]) =>
  logError('map')(
    at,
    `--map names ${quote(name)}, which is not a column of this log. Its columns are ${seen.map((column) => quote(column)).join(', ')}.`,
  );

export const mapMalformed = (text: string, roles: readonly string[]) =>
  logError('map')(
    {},
    `${quote(text)} is not of the form ROLE=NAME, with ROLE one of ${roles.join(', ')}. Correct --map or --columns.`,
  );

export const depthUnitUnknown = (at: At, column: string) =>
  logError('depth-unit', { setting: 'depth-unit' })(
    at,
    `Column "${column}" does not say its unit, and a wrong guess is off by a factor of 3.28. Add --depth-unit m, ft or fm, or name the column ${column}_m or ${column}_ft.`,
  );

export const commaDecimalComma = (at: At, found: number, expected: number) =>
  logError('decimal-comma')(
    at,
    `${found} fields where the header has ${expected}: decimal commas with commas between values? Export it with semicolons or decimal points.`,
  );

export const mixedDecimals = (at: At, column: string) =>
  logError('decimal-mark')(
    at,
    `Column "${column}" has both decimal commas and decimal points, so its numbers cannot be told apart. Export it again with one kind.`,
  );

export const headerChangedUnknown = (at: At, seen: readonly string[], missing: readonly string[]) =>
  logError('header-changed')(
    at,
    `A second header, ${seen.map((name) => quote(name)).join(', ')}, has no column for ${missing.join(', ')}. Split the file here, or add --map.`,
  );

/** @param columns Names of the latitude and longitude columns. */
export const swappedPositions = (at: At, columns: readonly [lat: string, lon: string]) =>
  logError('swapped', swapOf(columns))(
    at,
    `Latitudes are beyond 90 degrees throughout: latitude and longitude look swapped. Add --map ${swapOf(columns).value}.`,
  );

/** The setting that swaps latitude and longitude. */
export const swapOf = ([lat, lon]: readonly [lat: string, lon: string]) => ({
  setting: 'map',
  value: `lat=${lon},lon=${lat}`,
  columns: [lat, lon],
});

export const packedPositions = (at: At, text: string) =>
  logError('packed', { setting: 'position-format', value: 'packed-minutes' })(
    at,
    `Position ${quote(text)} looks like degrees and minutes run together. If it is, add --position-format packed-minutes.`,
  );

export const ambiguousPosition = (at: At, text: string) =>
  logError('packed-ambiguous', { setting: 'position-format' })(
    at,
    `Position ${quote(text)} can be degrees, or degrees and minutes run together. Add --position-format degrees or packed-minutes.`,
  );

export const scaledPositions = (at: At, text: string) =>
  logError('scaled', { setting: 'position-scale' })(
    at,
    `Position ${quote(text)} looks scaled to a whole number. Add --position-scale 10000000 (1e7-scaled) or 11930464.7111 (semicircles).`,
  );

export const hemisphereSign = (at: At, text: string) =>
  logError('hemisphere')(
    at,
    `${quote(text)} has a minus sign and a hemisphere letter, which contradict each other. Export it with one of them.`,
  );

export const datumUnknown = (at: At, name: string) =>
  logError('datum', { setting: 'datum' })(
    at,
    `Positions are in datum ${quote(name)}, not WGS 84. Export them in WGS 84, or add --datum ${quote(name)} if it agrees within a few meters.`,
  );

export const dayNumbers = (at: At, text: string) =>
  logError('day-number', { setting: 'spreadsheet-days', value: 'on' })(
    at,
    `Time ${quote(text)} looks like a spreadsheet's day number. If it is, add --spreadsheet-days.`,
  );

export const dateOrderUnknown = (at: At, text: string) =>
  logError('date-order', { setting: 'date-order' })(
    at,
    `Date ${quote(text)} does not show which number is the day, and no row proves it. Add --date-order dmy or mdy.`,
  );

export const verticalUnknown = (at: At, column: string, share: number) =>
  logError('vertical', { setting: 'vertical' })(
    at,
    `${Math.round(share * 100)} % of column "${column}" is negative, so it may hold depths or elevations. Add --vertical down (depths) or up (elevations).`,
  );

export const noPositions = (at: At) =>
  logError('no-positions')(
    at,
    'This log has times and depths but no positions. Add --tracks with the GPX track of that day.',
  );

export const tooManyDropped = (at: At, dropped: number, read: number, limit: number, main: string) =>
  logError('too-many-dropped', { setting: 'max-dropped' })(
    at,
    `${dropped} of ${read} rows could not be read (mostly ${main}), more than ${Math.round(limit * 100)} %, so this log is refused. Correct it, or raise --max-dropped.`,
  );

export const changedWhileRead = (at: At) =>
  logError('changed')(
    at,
    'This file changed while it was read. Run again when recording or copying has ended.',
  );

export const zoneUnknown = (text: string) =>
  logError('zone')(
    {},
    `Time zone ${quote(text)} is not UTC, an offset such as -05:00, or a name such as Europe/Oslo. Correct --tz.`,
  );

export const noFixes = (at: At) =>
  logError('no-fixes')(
    at,
    'The tracks have no points with times. Give --tracks a recorded track, not a route or a plan.',
  );
