import { systemError } from '../system-errors.ts';
import { asTyped, messages, quote, quoteSome } from './make.ts';

/** Names of kinds of columns in messages; other kinds are called as in `--map`. */
const ROLE_NAMES: Readonly<Record<string, string>> = {
  lat: 'latitude',
  lon: 'longitude',
  ns: 'letter N or S',
  ew: 'letter E or W',
  unit: 'unit of depths',
};

/** Lists kinds of columns: `latitude, longitude or depth`. */
const inRoleWords = (roles: readonly string[], last: 'and' | 'or' = 'or'): string =>
  roles
    .map((role) => ROLE_NAMES[role] ?? role)
    .join(', ')
    .replace(/, (?=[^,]*$)/, ` ${last} `);

/** Messages for sounding logs that are refused as a whole. */
export const refusalMessages = messages('soundings', 'error', {
  unreadable: (why: string) =>
    `This log cannot be read (${systemError(why)}). Check its path and its permissions, or copy it again.`,
  'empty-file': 'This log is empty. Copy the log from the unit again, or leave it out.',
  foreign: (kind: string) =>
    `This is ${kind}, not a sonar log. Export the log as CSV or GPX, or leave the file out.`,
  encoding:
    'This log cannot be read: its first bytes say UTF-16, but the rest is not UTF-16. Save the file as UTF-8.',
  'long-line': (most: number) =>
    `This log is not CSV text: a line here is longer than ${most / 1024} KiB. Export the log as CSV or GPX, or leave it out.`,
  'no-header': (first: string) => [
    `The columns are not known: this log has no header, and its first row is ${quote(first)}. Name the columns in order, for example --columns lat,lon,depth.`,
    { repair: { setting: 'columns' } },
  ],
  /** @param map Entries of `--map` so far. */
  'header-unknown': (seen: readonly string[], missing: readonly string[], map: readonly string[] = []) => [
    `No column is recognized as ${inRoleWords(missing)}: the columns are ${quoteSome(seen)}. Say which ${missing.length === 1 ? 'column it is' : 'columns they are'} with --map ${asTyped([...map, ...missing.map((role) => `${role}=NAME`)].join(','))}.`,
    { repair: { setting: 'map', columns: seen } },
  ],
  'no-header grid': (first: string) =>
    `The columns are not known: this log has no header, and its first row is ${quote(first)}, with positions on a map grid. If easting, northing and depth come in this order, rename the file so that it ends in .xyz, and add --crs EPSG:NUMBER.`,
  'header-unknown none': (first: string) =>
    `This file has no columns for latitude, longitude and depth: it begins with ${quote(first)}. Export the log with these columns, or leave the file out.`,
  'header-unknown few': (seen: readonly string[], missing: readonly string[]) =>
    `This log contains only ${quoteSome(seen)}. Export it again with ${inRoleWords(missing, 'and')}, or leave it out.`,
  /** @param hasGrid True when `--crs` is given. */
  'header-unknown grid': (seen: readonly string[], hasGrid: boolean) =>
    `No column is recognized as depth: the columns are ${quoteSome(seen)}. Rename the column of depths to "depth".${hasGrid ? '' : ' The positions of this log are on a map grid, so also add --crs EPSG:NUMBER.'}`,
  /** @param hasGrid True when `--crs` is given. */
  projected: (names: readonly string[], hasGrid: boolean) =>
    `${names.length === 1 ? `Column ${quote(names[0])} has` : `Columns ${names.map((name) => quote(name)).join(', ')} have`} positions on a map grid, but easting and northing are not both recognized. Rename the two columns to "easting" and "northing"${hasGrid ? '' : ' and add --crs EPSG:NUMBER'}, or export the log with latitude and longitude.`,
  /** Said when `--columns` names map coordinates in a file that is not read by position. */
  'projected columns': (names: readonly string[], hasGrid: boolean) =>
    `Columns ${quoteSome(names)} of --columns are positions on a map grid, which are read only from a file named .xyz. Rename the file${hasGrid ? '' : ', and add --crs EPSG:NUMBER'}.`,
  /** @param number Number of the first of these columns, from the left. */
  'two-columns': (role: string, names: readonly string[], number: number) => [
    `${names.length} columns could be the ${ROLE_NAMES[role] ?? role}: ${names.map((name) => quote(name)).join(', ')}. Choose one with --map ${role}=NAME, or by its number from the left, such as --map ${role}=#${number}.`,
    { repair: { setting: 'map', columns: names } },
  ],
  map: (name: string, seen: readonly string[], option = '--map') =>
    `${option} names ${quote(name)}, which is not a column of this log. Choose one of its columns: ${quoteSome(seen)}. If other logs have that column, put the option in a file next to each of them instead, such as day1.csv.yaml.`,
  'map form': (text: string, roles: readonly string[]) =>
    `--map ${quote(text)} cannot be read. Write ROLE=NAME, where ROLE is one of ${roles.join(', ')}.`,
  'map columns': (text: string, roles: readonly string[]) =>
    `--columns names ${quote(text)}, which is not a kind of column. Use ${roles.join(', ')}, or - for a column to ignore. A unit may follow a name, as in depth_ft.`,
  /** @param isNamed True when `column` is a name from the header of the log. */
  'depth-unit': (column: string, isNamed: boolean) => [
    `${isNamed ? `Column ${quote(column)} does not say whether its` : 'Nothing says whether these'} depths are in meters, feet or fathoms. Add --depth-unit m, ft or fm.`,
    { repair: { setting: 'depth-unit' } },
  ],
  'decimal-comma': (found: number, expected: number) =>
    `This log cannot be read: a line has ${found} fields where the header has ${expected}, probably because commas are used both inside numbers and between them. Export the log with decimal points, or with semicolons between values.`,
  'decimal-mark': (column: string) =>
    `This log cannot be read: column "${column}" has numbers with decimal commas and numbers with decimal points. Export the log again with only one of the two.`,
  'header-changed': (seen: readonly string[], missing: readonly string[]) =>
    `This log is not used: a second header, ${quoteSome(seen)}, has no column for ${inRoleWords(missing)}. Split the file before this line.`,
  /** @param value Value of `setting` that swaps latitude and longitude. */
  swapped: (setting: 'map' | 'columns', value: string, columns: readonly string[]) => [
    `Latitude and longitude look swapped: all latitudes are beyond 90 degrees. Use --${setting} ${asTyped(value)}.`,
    { repair: { setting, value, columns } },
  ],
  packed: (text: string) => [
    `Position ${quote(text)} looks like degrees and minutes run together. If so, add --position-format packed-minutes.`,
    { repair: { setting: 'position-format', value: 'packed-minutes' } },
  ],
  'packed-ambiguous': (text: string) => [
    `Position ${quote(text)} could be degrees, or degrees and minutes run together. Add --position-format degrees or packed-minutes.`,
    { repair: { setting: 'position-format' } },
  ],
  scaled: (text: string) => [
    `Position ${quote(text)} is not in degrees but in a scaled form. Add --position-scale 10000000 (degrees times ten million) or 11930464.7111 (semicircles); the right one puts the log on your lake.`,
    { repair: { setting: 'position-scale' } },
  ],
  hemisphere: (text: string) =>
    `Position ${quote(text)} has both a minus sign and a hemisphere letter. Export the log with only one of the two.`,
  datum: (name: string) => [
    `This log is not used: it says that its positions are on the datum ${quote(name)}, not WGS 84. Export the log in WGS 84. Only if this datum is within a few meters of WGS 84, as NAD83 is, add --datum ${JSON.stringify(name)}.`,
    { repair: { setting: 'datum' } },
  ],
  'day-number': (text: string) => [
    `Time ${quote(text)} looks like the day number of a spreadsheet. If so, add --spreadsheet-days.`,
    { repair: { setting: 'spreadsheet-days', value: 'on' } },
  ],
  'date-order': (text: string) => [
    `Date ${quote(text)} does not show which number is the day, and neither does any other row. Add --date-order dmy or mdy.`,
    { repair: { setting: 'date-order' } },
  ],
  'date-order mixed': () => [
    'Some dates in this log can only be day/month, and others only month/day. Export the log with dates such as 2026-05-18, or add --date-order dmy or mdy to use only the times written that way.',
    { repair: { setting: 'date-order' } },
  ],
  vertical: (column: string, share: number) => [
    share === 0
      ? `Column "${column}" may contain depths or elevations: none of its values are negative. Add --vertical down for depths. If it contains heights above sea level, export depths instead.`
      : `Column "${column}" may contain depths or elevations: ${Math.max(1, Math.round(share * 100))} % of its values are negative. Add --vertical down if the positive ones are depths, or --vertical up if the negative ones are.`,
    { repair: { setting: 'vertical' } },
  ],
  'no-positions':
    'This log has times and depths but no positions. Add --tracks with the GPX track of that day.',
  /** Said when `--columns` leaves out what a sounding needs. */
  'no-positions columns': (missing: readonly string[]) =>
    `--columns names no column for ${inRoleWords(missing)}. Name all columns in order, for example --columns lat,lon,depth.`,
  /**
   * @param limit Share of rows that may be dropped, 0 to 1.
   * @param main Message about the first row that was dropped for the most frequent reason, if known.
   */
  'too-many-dropped': (dropped: number, read: number, limit: number, main = '') => {
    const isAll = dropped === read;
    // What corrects one line is no help for a whole log.
    const reason = main.replace(/^(?:Row|Sentence) dropped: | Correct the line to use it\.$/g, '');
    const isAdvice = reason.includes('. ');
    const advice = `add --max-dropped ${Math.ceil((100 * dropped) / read) / 100} (now ${limit})`;
    return [
      `This log is not used: ${isAll ? `none of its ${read} rows can be used` : `${dropped} of its ${read} rows cannot be used`}.${reason === '' ? '' : ` The most frequent reason: ${reason}`}${isAll ? (isAdvice ? '' : ' Export the log again, or leave it out.') : ` To use the other rows as they are, ${advice}.`}`,
      isAll ? {} : { repair: { setting: 'max-dropped' } },
    ];
  },
  changed:
    'This log is not used: it changed while it was read. Run again when recording or copying has ended.',
  zone: (text: string) =>
    `Time zone ${quote(text)} is not known. Give --tz as UTC, an offset such as -05:00, or a name such as America/Chicago.`,
  'no-fixes':
    'Depths cannot be placed: the files of --tracks have no track points with times. Give --tracks the track that your unit recorded that day.',
});
