import { messages, quote } from './make.ts';

/** Messages for sounding logs that are refused as a whole. */
export const refusalMessages = messages('soundings', 'error', {
  unreadable: (why: string) => `This log cannot be read (${why}). Check its path and permissions.`,
  'empty-file': 'This log is empty. Copy it from the unit again, or leave it out.',
  foreign: (kind: string) => `This is ${kind}, not a sounding log. Export it as CSV or GPX, or leave it out.`,
  encoding:
    'This log cannot be read: it begins like UTF-16, but the rest of it is not UTF-16. Save it as UTF-8.',
  'long-line': (most: number) =>
    `This is not CSV text: a line here is longer than ${most / 1024} KiB. Export the log as CSV or GPX, or leave it out.`,
  'no-header': (first: string) => [
    `No header: the first row is ${quote(first)}. Name the columns with --columns lat,lon,depth[,time].`,
    { repair: { setting: 'columns' } },
  ],
  'header-unknown': (seen: readonly string[], missing: readonly string[]) => [
    `No column for ${missing.join(', ')} among ${seen.map((name) => quote(name)).join(', ')}. Say which ${missing.length === 1 ? 'column it is' : 'columns they are'}: --map ${missing.map((role) => `${role}=NAME`).join(',')}.`,
    { repair: { setting: 'map', columns: seen } },
  ],
  projected: (names: readonly string[]) => [
    `Columns ${names.map((name) => quote(name)).join(', ')} hold positions on a map grid, and the file does not say which grid. Export latitude and longitude.`,
    { repair: { setting: 'crs' } },
  ],
  'two-columns': (role: string, names: readonly string[]) => [
    `${names.length} columns could be the ${role}: ${names.map((name) => quote(name)).join(', ')}. Choose one: --map ${role}=NAME (or ${role}=#NUMBER, counted from 1).`,
    { repair: { setting: 'map', columns: names } },
  ],
  map: (name: string, seen: readonly string[], option = '--map') =>
    `${option} names ${quote(name)}, which is not a column of this log. Use one of its columns: ${seen.map((column) => quote(column)).join(', ')}.`,
  'map form': (text: string, roles: readonly string[]) =>
    `${quote(text)} is not of the form ROLE=NAME, with ROLE one of ${roles.join(', ')}. Correct --map.`,
  'map columns': (text: string, roles: readonly string[]) =>
    `--columns names ${quote(text)}, which is not a kind of column. Use ${roles.join(', ')}, with the unit as in depth(ft), or - for a column to ignore.`,
  'depth-unit': (column: string) => [
    `Column "${column}" does not say whether its depths are in meters, feet or fathoms. Add --depth-unit m, ft or fm, or name the column ${column}_m or ${column}_ft.`,
    { repair: { setting: 'depth-unit' } },
  ],
  'decimal-comma': (found: number, expected: number) =>
    `This line has ${found} fields where the header has ${expected}, probably because commas are used both inside the numbers and between them. Export the log with decimal points, or with semicolons between values.`,
  'decimal-mark': (column: string) =>
    `Column "${column}" has both decimal commas and decimal points, so there is no telling what its numbers mean. Export the log again with only one of them.`,
  'header-changed': (seen: readonly string[], missing: readonly string[]) =>
    `A second header, ${seen.map((name) => quote(name)).join(', ')}, has no column for ${missing.join(', ')}. Split the file here, or add --map.`,
  /** @param columns Names of the latitude and longitude columns. */
  swapped: (columns: readonly [lat: string, lon: string]) => [
    `Latitudes are beyond 90 degrees throughout: latitude and longitude look swapped. Add --map ${swapOf(columns).value}.`,
    { repair: swapOf(columns) },
  ],
  packed: (text: string) => [
    `Position ${quote(text)} looks like degrees and minutes run together. If it is, add --position-format packed-minutes.`,
    { repair: { setting: 'position-format', value: 'packed-minutes' } },
  ],
  'packed-ambiguous': (text: string) => [
    `Position ${quote(text)} can be degrees, or degrees and minutes run together. Add --position-format degrees or packed-minutes.`,
    { repair: { setting: 'position-format' } },
  ],
  scaled: (text: string) => [
    `Position ${quote(text)} is not in degrees but in a scaled form. Add --position-scale 10000000 (degrees times ten million) or 11930464.7111 (semicircles); the right one puts the log on your lake.`,
    { repair: { setting: 'position-scale' } },
  ],
  hemisphere: (text: string) =>
    `${quote(text)} has a minus sign and a hemisphere letter, which contradict each other. Export it with only one of them.`,
  datum: (name: string) => [
    `Positions are in datum ${quote(name)}, not WGS 84. Export them in WGS 84, or add --datum ${quote(name)} if it agrees within a few meters.`,
    { repair: { setting: 'datum' } },
  ],
  'day-number': (text: string) => [
    `Time ${quote(text)} looks like a spreadsheet's day number. If it is, add --spreadsheet-days.`,
    { repair: { setting: 'spreadsheet-days', value: 'on' } },
  ],
  'date-order': (text: string) => [
    `Date ${quote(text)} does not show which number is the day, and no row proves it. Add --date-order dmy or mdy.`,
    { repair: { setting: 'date-order' } },
  ],
  vertical: (column: string, share: number) => [
    `${Math.round(share * 100)} % of column "${column}" is negative, so it may hold depths or elevations. Add --vertical down (depths) or up (elevations).`,
    { repair: { setting: 'vertical' } },
  ],
  'no-positions':
    'This log has times and depths but no positions. Add --tracks with the GPX track of that day.',
  'too-many-dropped': (dropped: number, read: number, limit: number, main: string) => [
    `This log is not used: ${dropped} of ${read} rows could not be read (mostly ${main}), more than ${Math.round(limit * 100)} %. Correct it, or raise --max-dropped.`,
    { repair: { setting: 'max-dropped' } },
  ],
  changed: 'This file changed while it was read. Run again when recording or copying has ended.',
  zone: (text: string) =>
    `Time zone ${quote(text)} is not UTC, an offset such as -05:00, or a name such as Europe/Oslo. Correct --tz.`,
  'no-fixes': 'The tracks have no points with times. Give --tracks a recorded track, not a route or a plan.',
});

/** The setting that swaps latitude and longitude. */
export const swapOf = ([lat, lon]: readonly [lat: string, lon: string]) => ({
  setting: 'map',
  value: `lat=${lon},lon=${lat}`,
  columns: [lat, lon],
});
