import { inMeters, inMetersOrKilometers } from '../../contract/index.ts';
import type { TimeForm } from '../time.ts';
import { messages, plural, quote, quoteSome } from './make.ts';

const axisName = (axis: 'lat' | 'lon'): string => (axis === 'lat' ? 'latitude' : 'longitude');

const FORM_WORDS: Readonly<Record<TimeForm, string>> = {
  zoned: 'date and time with a time zone',
  local: 'date and time',
  seconds: 'seconds since 1970',
  milliseconds: 'milliseconds since 1970',
  microseconds: 'microseconds since 1970',
  nanoseconds: 'nanoseconds since 1970',
  'time-of-day': 'time without a date',
  date: 'date without a time',
};

const hex = (code: number): string => code.toString(16).toUpperCase().padStart(2, '0');

/**
 * Messages about rows of sounding logs that are dropped or used with reservations, and about how a log is
 * read. Most messages about refused logs are in `sounding-refusals.ts`.
 */
export const soundingMessages = {
  ...messages('soundings', 'warning', {
    // Rows dropped: structure.
    fields: (found: number, expected: number) =>
      `Row dropped: it has ${plural(found, 'value')} instead of ${expected}. Correct the line to use it.`,
    control: (code: number) =>
      `Row dropped: it contains a character that is not text (hex ${hex(code)}), so the file is damaged here.`,
    erased: 'Row dropped: part of it is erased (bytes of hex 00 or FF), as when a card loses a block.',
    quote:
      'Row dropped: a quotation mark in it is not closed, or not doubled inside a value. Correct the line to use it.',
    truncated: (found: number, expected: number) =>
      `Last row dropped: the file ends after ${found} of the ${expected} values of the row, as when recording stops.`,
    'cut-line': (text: string) =>
      `Last row dropped: the file ends right after ${quote(text)} with no line end, so the value may be cut short. If the value is whole, add --keep-last.`,
    // Rows dropped: values.
    number: (column: string, text: string) =>
      `Row dropped: ${quote(text)} in column "${column}" is not a number.`,
    'number unit': (column: string, text: string) =>
      `Row dropped: ${quote(text)} in column "${column}" is not in the unit of this column.`,
    'grouped-number': (column: string, text: string) =>
      `Row dropped: ${quote(text)} in column "${column}" has a mark that may separate thousands or decimals. Export numbers without thousands separators.`,
    'decimal-mark': (column: string, text: string, decimal: string) =>
      `Row dropped: ${quote(text)} in column "${column}" has a ${decimal === '.' ? 'comma, and the rest of the file has decimal points' : 'point, and the rest of the file has decimal commas'}. Export all numbers in one form.`,
    digits: (column: string, text: string) =>
      `Row dropped: ${quote(text)} in column "${column}" is not written in the digits 0 to 9. Export the log with plain digits.`,
    spreadsheet: (column: string, text: string) =>
      `Row dropped: ${quote(text)} in column "${column}" is a spreadsheet formula, or a number stored as text. Export plain numbers.`,
    unit: (text: string) => `Row dropped: its unit ${quote(text)} is not known. Write m, ft or fm.`,
    'unit missing': (depth: string) =>
      `Row dropped: its depth ${quote(depth)} has no unit. Add m, ft or fm to it.`,
    'position-range': (axis: 'lat' | 'lon', text: string, most = 360) =>
      `Row dropped: ${axisName(axis)} ${quote(text)} is not between ${axis === 'lat' ? '-90 and 90' : `-180 and ${most}`} degrees.`,
    'position-range form': (axis: 'lat' | 'lon', text: string) =>
      `Row dropped: ${axisName(axis)} ${quote(text)} is not written like the positions in the other rows.`,
    minutes: (column: string, text: string) =>
      `Row dropped: ${quote(text)} in column "${column}" has minutes or seconds of 60 or more.`,
    hemisphere: (text: string, expected: string) =>
      `Row dropped: the hemisphere in ${quote(text)} must be ${expected}.`,
    'hemisphere sign': (text: string) =>
      `Row dropped: ${quote(text)} has both a minus sign and a hemisphere letter.`,
    'no-fix': 'Row dropped: its position is 0, 0, which receivers write when they have no fix.',
    'no-fix placed':
      'Row dropped: its depth has no position, because no valid fix is close enough before and after it.',
    'no-position': (text: string) =>
      text === ''
        ? 'Row dropped: it has no position.'
        : `Row dropped: ${quote(text)} means that the receiver had no position.`,
    'lost-bottom':
      'Row dropped: a depth of 0 means that the sonar lost the bottom. If 0 is a true depth, add --zero-is-valid.',
    /** @param isStated True when no option changes the meaning of the sign. */
    'depth-sign': (text: string, vertical: 'down' | 'up', isStated: boolean) =>
      vertical === 'up'
        ? `Row dropped: elevation ${quote(text)} is above 0, which counts as the water surface.${isStated ? '' : ' If this log writes depths without a minus sign, add --vertical down. If it contains heights above sea level, export depths instead.'}`
        : `Row dropped: depth ${quote(text)} is negative.${isStated ? '' : ' If this log writes every depth with a minus sign, add --vertical up.'}`,
    'no-depth': (text: string) =>
      text === ''
        ? 'Row dropped: it has no depth.'
        : `Row dropped: ${quote(text)} means that the sonar had no depth.`,
    /** @param depth m; absent for a number too large for any depth, such as 1e300. */
    'depth-range': (text: string, most: number, depth?: number) =>
      `Row dropped: depth ${quote(text)}${depth === undefined ? '' : ` (${inMeters(depth)})`} is more than ${inMeters(most)}. If the water is that deep, raise --max-depth.`,
    'marked-invalid': (column: string) =>
      `Row dropped: its column ${JSON.stringify(column)} says that the row is not valid. If that column means something else, add --map "ignore=${column}".`,
    'duplicate-row': 'Row dropped: it repeats the time, place and depth of an earlier row.',
    'no-time': 'Row dropped: it has no position, and no valid time by which your tracks could place it.',
    'off-track':
      'Row dropped: its time is outside your tracks or in a gap of them. Check that --tracks covers that time.',
    // Rows kept with reservations.
    'time-invalid': (text: string) =>
      text === ''
        ? 'Row kept, although it has no time that can be read.'
        : `Row kept without its time: ${quote(text)} is not a valid date and time.`,
    'time-year': (text: string) =>
      `Row kept without its time: ${quote(text)} is before 1990 or after tomorrow. Set the clock of the unit.`,
    'time-reset': (text: string) =>
      `Row kept without its time: ${quote(text)} is what clocks show after a reset. Set the clock of the unit.`,
    'time-rollover':
      'Row kept without its time: it is 1024 weeks before the times of other rows, because the receiver lost count of the weeks.',
    'time-fold': (text: string, zone: string) =>
      `Clocks in ${zone} showed ${quote(text)} twice that day. The earlier time is used. Log in UTC to be sure.`,
    'time-gap': (text: string, zone: string) =>
      `Clocks in ${zone} skipped ${quote(text)} that day. The time is read as standard time. Check --tz.`,
    'longitude-wrapped': (text: string) =>
      `Longitude ${quote(text)} is above 180 degrees, so 360 was subtracted.`,
    'minus-sign': (text: string) => `The dash in ${quote(text)} is read as a minus sign.`,
    'decimal-comma': 'Numbers in quotation marks, such as "59,5", are read with a decimal comma.',
    'stray-quote': 'A value has a quotation mark (") inside. It is used as written.',
    'coarse-position': (text: string) =>
      `Position ${quote(text)} has fewer than 4 decimals of a degree, so it may be off by ${inMeters(55)} or more. The row is used.`,
    // Other messages.
    encoding: 'This file is not UTF-8. Its texts are read as windows-1252, and its numbers are not affected.',
    'utf-16': 'This file is read as UTF-16, although it has no byte-order mark.',
    'line-ends': 'Lines end in more than one way in this file. Each kind is read as a line end.',
    'header-line': (text: string) => `Everything before the header is skipped. The header is ${quote(text)}.`,
    'header-skipped': (text: string) =>
      `The header ${quote(text)} is skipped, because --columns names the columns.`,
    'units-row': (text: string) => `The row ${quote(text)} is read as the units of the columns.`,
    'header-repeated':
      'The header is repeated here. This line is skipped, and the rows before and after it are used.',
    'header-changed': (text: string) =>
      `A second header, ${quote(text)}, gives the columns and units from here on.`,
    spaces: 'Values are separated by spaces. A run of spaces is read as one separator.',
    /** @param what The values judged: `the values of column "z"`. */
    elevation: (what: string, share: number) => [
      `This log is read as elevations, where -3 is a depth of 3, because ${Math.floor(share * 100)} % of ${what} are negative. If that is right, add --vertical up.`,
      { repair: { setting: 'vertical', value: 'up' } },
    ],
    'x-y': (x: string, y: string) =>
      `Columns ${quote(x)} and ${quote(y)} are read as longitude and latitude, which their values fit.`,
    'time-zone': (zone: string, what: 'Times' | 'Dates') =>
      `${what} have no time zone and are read as ${zone}. If the clock was set otherwise, add --tz.`,
    'time-relative':
      'Times have no date. The times give only order and speed, and the water level when the log was made is not known.',
    'time-day-only': 'Dates without a time of day are read as noon, and speeds between them are not checked.',
    'time-forms': (forms: readonly TimeForm[]) =>
      `Times are written in several forms (${forms.map((form) => FORM_WORDS[form]).join(', ')}). Each time is read in its own form.`,
    'date-order': (text: string, order: string) =>
      `Dates such as ${quote(text)} are read as ${order}, the only order that fits every date in this log.`,
    'time-back': 'This time is earlier than that of the row above. A new pass begins here.',
    'erased-tail': (bytes: number) =>
      `The end of this file is erased (${plural(bytes, 'byte')} of hex 00 or FF). The rows before it are used.`,
    resolution: (decimals: number, meters: number) =>
      `Positions may be off by about ${inMetersOrKilometers(meters)}: they have ${decimals === 0 ? 'no decimals' : `at most ${plural(decimals, 'decimal')}`}. Export the log with 6 or more decimals.`,
    pole: 'The place may be wrong: this latitude is beyond 89 degrees. Check which columns are latitude and longitude.',
    /** An error when the log has rows, because some should have been usable. */
    'no-soundings': (rows: number, withoutDepth: number) => [
      rows > withoutDepth
        ? 'Nothing in this log can be used: every row was dropped. The other messages about this log say why.'
        : 'Nothing in this log can be used: it has no depths. Leave the log out, or export it again.',
      { severity: rows > 0 ? 'error' : 'warning' },
    ],
    'ele-below': [
      'Nothing in this log can be used: its points have no depth, but elevations below 0. If these are depths with a minus sign, add --ele-is-depth.',
      { severity: 'error', repair: { setting: 'ele-is-depth', value: 'on' } },
    ],
    'time-order': 'Rows are not in the order of their times, and were sorted by time.',
    'two-depths':
      'This row has the time and place of an earlier row, but another depth. Both are used. If a column names the sonar channel, choose one channel with --channel COLUMN=VALUE.',
    'clock-offset found': (seconds: number, now: number, before: number) =>
      `The clock of this log is ${Math.abs(seconds)} s ${seconds > 0 ? 'behind' : 'ahead of'} your tracks. Times are corrected for that: where you passed twice, depths now differ by ${inMeters(now, 2)} instead of ${inMeters(before, 2)}. Add --clock-offset 0 to leave the times as they are.`,
    'track-elsewhere': (share: number) =>
      `${share < 0.005 ? 'None' : `Only ${Math.round(share * 100)} %`} of the depths fall within the times of your tracks. Check that --tracks is of that day. If the clock of this log is hours off, add --clock-offset, or --tz if its times have no zone.`,
  }),
  ...messages('soundings', 'note', {
    'clock-offset': (seconds: number) =>
      seconds === 0
        ? 'The times of this log are not moved to place its depths on your tracks (--clock-offset 0).'
        : `The times of this log are moved ${Math.abs(seconds)} s ${seconds < 0 ? 'back' : 'ahead'} to place its depths on your tracks (--clock-offset).`,
    channel: (channel: string) => `Rows of channels other than ${channel} are left out, as asked.`,
    'extra-columns': (names: readonly string[]) =>
      names.length === 1
        ? `Column ${quote(names[0])} is not used.`
        : `Some columns are not used: ${quoteSome(names)}.`,
    'temperature-unit': (column: string) =>
      `Temperatures are not used: column "${column}" does not say whether they are F or C. Name it "${column}_f" or "${column}_c".`,
    'several-times': (used: string, others: readonly string[]) =>
      `Several columns look like times: ${[used, ...others].map((name) => quote(name)).join(', ')}. The first is used. Choose another with --map time=NAME.`,
    'several-depths': (used: string, others: readonly string[]) =>
      `Several columns contain depths. Only ${quote(used)} is used, not ${others.map((name) => quote(name)).join(' or ')}. Choose another with --map depth=NAME.`,
    'depth-unit': (unit: string, from: string) => [`Depths are in ${unit} (${from}).`, { values: { unit } }],
    'no-times':
      'This log has no times. Rows are taken in the order of the file, and speeds and clocks are not checked.',
  }),
};
