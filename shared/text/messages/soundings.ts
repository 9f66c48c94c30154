import type { Diagnostic, Place, Severity } from '../../contract/diagnostic.ts';
import { inMeters } from '../../contract/lengths.ts';

/** Messages about rows of sounding logs: dropped, or used with a doubt. Refusals of whole logs: `sounding-refusals.ts`. */

/** Where in a log: file and physical line. */
export type At = Pick<Place, 'file' | 'line' | 'column'>;

const say =
  (severity: Severity, code: string) =>
  (at: At, message: string): Diagnostic => ({ severity, code: `soundings/${code}`, message, place: at });
const warning = (code: string) => say('warning', code);
const note = (code: string) => say('note', code);

/** Longest piece of a file quoted in a message, characters. */
const LONGEST_QUOTE = 60;

/** A value as quoted in a message: shortened, control characters and no-break spaces made visible. */
export function quote(text: string): string {
  const short = text.length > LONGEST_QUOTE ? `${text.slice(0, LONGEST_QUOTE)}...` : text;
  return JSON.stringify(short).replaceAll('\u00a0', '\\u00a0');
}

// Rows dropped: structure.

export const fieldsDropped = (at: At, found: number, expected: number) =>
  warning('fields')(
    at,
    `Unexpected ${found} fields, expected ${expected} as in the header. Row dropped; mend the line to use it.`,
  );

export const controlDropped = (at: At, code: number) =>
  warning('control')(
    at,
    `Unexpected control byte ${hex(code)}, expected text. Row dropped; the file is damaged here.`,
  );

export const nulDropped = (at: At) =>
  warning('erased')(
    at,
    'Unexpected erased bytes (00 or FF) in a row, expected text. Row dropped; the card lost a block here.',
  );

export const quoteDropped = (at: At) =>
  warning('quote')(
    at,
    'Unexpected quote that is not closed or not doubled, expected quoted fields to be whole. Row dropped; mend the line to use it.',
  );

export const truncatedDropped = (at: At, found: number, expected: number) =>
  warning('truncated')(
    at,
    `Unexpected end of file after ${found} of ${expected} fields, expected a whole last line. Last line dropped; recording stopped in it.`,
  );

export const cutDropped = (at: At, text: string) =>
  warning('cut-line')(
    at,
    `Unexpected end of file right after ${quote(text)}, expected a line end: the value may be cut. Last line dropped; pass --keep-last if it is whole.`,
  );

// Rows dropped: values.

export const numberDropped = (at: At, column: string, text: string) =>
  warning('number')(
    at,
    `Unexpected ${quote(text)} in column "${column}", expected a plain number. Row dropped.`,
  );

export const groupedDropped = (at: At, column: string, text: string) =>
  warning('grouped-number')(
    at,
    `Unexpected ${quote(text)} in column "${column}", expected a number without thousands separators. Row dropped: what the mark means cannot be known; export without separators.`,
  );

export const decimalDropped = (at: At, column: string, text: string, decimal: string) =>
  warning('decimal-mark')(
    at,
    `Unexpected ${quote(text)} in column "${column}", expected "${decimal}" as decimal mark as in the rest of the file. Row dropped.`,
  );

export const digitsDropped = (at: At, column: string, text: string) =>
  warning('digits')(
    at,
    `Unexpected ${quote(text)} in column "${column}", expected the digits 0 to 9. Row dropped; export with plain digits.`,
  );

export const spreadsheetDropped = (at: At, column: string, text: string) =>
  warning('spreadsheet')(
    at,
    `Unexpected spreadsheet text ${quote(text)} in column "${column}", expected a plain number. Row dropped; export values, not formulas.`,
  );

export const unitDropped = (at: At, text: string) =>
  warning('unit')(at, `Unexpected unit ${quote(text)}, expected m, ft, fm, yd or cm. Row dropped.`);

export const rangeDropped = (at: At, axis: 'lat' | 'lon', text: string) =>
  warning('position-range')(
    at,
    `Unexpected ${axis === 'lat' ? 'latitude' : 'longitude'} ${quote(text)}, expected ${axis === 'lat' ? '-90 to 90' : '-180 to 360'} degrees. Row dropped.`,
  );

export const minutesDropped = (at: At, column: string, text: string) =>
  warning('minutes')(
    at,
    `Unexpected ${quote(text)} in column "${column}", expected minutes and seconds under 60. Row dropped.`,
  );

export const hemisphereDropped = (at: At, text: string, expected: string) =>
  warning('hemisphere')(at, `Unexpected hemisphere ${quote(text)}, expected ${expected}. Row dropped.`);

export const noFixDropped = (at: At) =>
  warning('no-fix')(
    at,
    'Unexpected position 0, 0, expected a fix: receivers write it when they have none. Row dropped.',
  );

export const noPositionDropped = (at: At, text: string) =>
  warning('no-position')(at, `Unexpected ${quote(text)} as position, expected a fix. Row dropped.`);

export const lostBottomDropped = (at: At) =>
  warning('lost-bottom')(
    at,
    'Unexpected depth 0, expected more: sonars write it when they lose the bottom. Row dropped; pass --zero-is-valid to keep such rows.',
  );

export const depthSignDropped = (at: At, text: string, expected: string) =>
  warning('depth-sign')(
    at,
    `Unexpected depth ${quote(text)}, expected ${expected}. Row dropped; see --vertical.`,
  );

export const noDepthDropped = (at: At, text: string) =>
  warning('no-depth')(
    at,
    `Unexpected ${quote(text)} as depth, expected a sounding: it stands for none. Row dropped.`,
  );

export const depthRangeDropped = (at: At, text: string, most: number) =>
  warning('depth-range')(
    at,
    `Unexpected depth ${quote(text)}, expected at most ${inMeters(most)}. Row dropped; pass --max-depth if the water is deeper.`,
  );

export const channelDropped = (at: At, channel: string) =>
  note('channel')(at, `Rows of other channels than ${channel} are left out, as asked.`);

export const duplicateDropped = (at: At) =>
  warning('duplicate-row')(
    at,
    'Unexpected row with time, place and depth of one before, expected each once. One is kept.',
  );

export const noTimeDropped = (at: At) =>
  warning('no-time')(
    at,
    'Unexpected sounding without a time or a position, expected one of them. Row dropped: it cannot be placed.',
  );

export const offTrackDropped = (at: At) =>
  warning('off-track')(
    at,
    'Unexpected time outside the tracks or inside a gap of theirs, expected fixes before and after it. Row dropped; check --tracks and --clock-offset.',
  );

// Rows kept, with a doubt.

export const timeInvalid = (at: At, text: string) =>
  warning('time-invalid')(
    at,
    `Unexpected time ${quote(text)}, expected a day and clock time that exist. Row kept without its time.`,
  );

export const timeYear = (at: At, text: string) =>
  warning('time-year')(
    at,
    `Unexpected time ${quote(text)}, expected 1990 to tomorrow. Row kept without its time; set the clock of the unit.`,
  );

export const timeReset = (at: At, text: string) =>
  warning('time-reset')(
    at,
    `Unexpected time ${quote(text)}, expected the day of recording: clocks start there after a reset. Row kept without its time.`,
  );

export const timeRollover = (at: At) =>
  warning('time-rollover')(
    at,
    'Unexpected time exactly 1024 weeks before its neighbors, expected steady times: the receiver lost count of GPS weeks. Row kept without its time.',
  );

export const timeFold = (at: At, text: string, zone: string) =>
  warning('time-fold')(
    at,
    `Unexpected time ${quote(text)}, which clocks in ${zone} showed twice, expected one meaning. The earlier is taken; log in UTC to be sure.`,
  );

export const timeGap = (at: At, text: string, zone: string) =>
  warning('time-gap')(
    at,
    `Unexpected time ${quote(text)}, which clocks in ${zone} skipped, expected a time that was. Standard time is taken; check --tz.`,
  );

export const longitudeWrapped = (at: At, text: string) =>
  warning('longitude-wrapped')(
    at,
    `Unexpected longitude ${quote(text)}, expected -180 to 180. Taken as that less 360.`,
  );

export const minusSign = (at: At, text: string) =>
  warning('minus-sign')(at, `Unexpected dash in ${quote(text)}, expected a plain minus sign. Read as minus.`);

export const quotedDecimal = (at: At, text: string) =>
  warning('decimal-comma')(
    at,
    `Unexpected decimal comma in ${quote(text)}, expected a point. Read as a decimal mark, as everywhere in this file.`,
  );

export const strayQuote = (at: At) =>
  warning('stray-quote')(
    at,
    'Unexpected quote inside a value, expected quotes round whole values only. Value taken as it stands.',
  );

export const coarsePosition = (at: At, text: string) =>
  warning('coarse-position')(
    at,
    `Unexpected position ${quote(text)} with under 4 decimals of a degree, expected 5 or more. Used; it may be off by ${inMeters(11)} or more.`,
  );

// Said once of a log.

export const notUtf8 = (at: At) =>
  warning('encoding')(
    at,
    'Unexpected bytes that are not UTF-8, expected UTF-8. Texts read as windows-1252; numbers are not affected.',
  );

export const guessedUtf16 = (at: At) =>
  warning('utf-16')(
    at,
    'Unexpected UTF-16 text without a byte order mark, expected UTF-8. Guessed from its bytes and read.',
  );

export const mixedLineEnds = (at: At) =>
  warning('line-ends')(
    at,
    'Unexpected mixture of line ends, expected one kind. Each is taken as a line end.',
  );

export const headerLine = (at: At, text: string) =>
  warning('header-line')(
    at,
    `Unexpected lines before the header, expected the header first. Line used as header: ${quote(text)}.`,
  );

export const headerSkipped = (at: At, text: string) =>
  warning('header-skipped')(
    at,
    `Unexpected header ${quote(text)} with --columns, expected none. Skipped; --columns is used.`,
  );

export const unitsRow = (at: At, text: string) =>
  warning('units-row')(
    at,
    `Unexpected row of units ${quote(text)}, expected soundings. Units taken from it.`,
  );

export const headerRepeated = (at: At) =>
  warning('header-repeated')(
    at,
    'Unexpected header again, expected it once. Skipped; the rows before and after are used.',
  );

export const headerChanged = (at: At, text: string) =>
  warning('header-changed')(
    at,
    `Unexpected second header ${quote(text)}, expected one. Its columns and units apply from here on.`,
  );

export const extraColumns = (at: At, names: readonly string[]) =>
  note('extra-columns')(at, `Columns not used: ${names.map((name) => quote(name)).join(', ')}.`);

export const spacesDelimiter = (at: At) =>
  warning('spaces')(
    at,
    'Unexpected runs of spaces between values, expected commas, semicolons or tabs. Read as one separator each.',
  );

export const projectedNames = (at: At) =>
  warning('x-y')(
    at,
    'Unexpected columns "x" and "y", expected "lon" and "lat". Read as longitude and latitude: their values fit.',
  );

export const elevationAsDepth = (at: At, column: string, share: number) =>
  warning('elevation')(
    at,
    `Unexpected negative values in ${Math.round(share * 100)} % of column "${column}", expected depths, positive down. Negatives are read as depths; pass --vertical up to say so.`,
  );

export const depthUnitUsed = (at: At, unit: string, from: string): Diagnostic => ({
  ...note('depth-unit')(at, `Depths are in ${unit} (${from}).`),
  values: { unit },
});

export const temperatureUnit = (at: At, column: string) =>
  note('temperature-unit')(
    at,
    `Column "${column}" does not say whether it is F or C, expected its name to. Temperatures not used; name it ${column}_f or ${column}_c.`,
  );

export const severalTimes = (at: At, used: string, others: readonly string[]) =>
  note('several-times')(
    at,
    `Several columns look like times: ${[used, ...others].map((name) => quote(name)).join(', ')}. The first is used; pass --map time=NAME for another.`,
  );

export const noTimes = (at: At) =>
  note('no-times')(
    at,
    'No column of times: rows are taken in file order, and checks that need times are off.',
  );

export const zonelessTimes = (at: At, zone: string) =>
  warning('time-zone')(
    at,
    `Unexpected times without a zone, expected UTC or an offset. Read as ${zone}; pass --tz if the clock was set otherwise.`,
  );

export const relativeTimes = (at: At) =>
  warning('time-relative')(
    at,
    'Unexpected times without a day, expected both. Used for order and speed only: water levels by day cannot apply.',
  );

export const daysOnly = (at: At) =>
  warning('time-day-only')(
    at,
    'Unexpected days without a time of day, expected both. Used as noon: speeds are not checked.',
  );

export const mixedTimes = (at: At, forms: readonly string[]) =>
  warning('time-forms')(
    at,
    `Unexpected mixture of times (${forms.join(', ')}), expected one form. Each is read by its own.`,
  );

export const provenDateOrder = (at: At, order: string) =>
  warning('date-order')(
    at,
    `Unexpected dates such as 01/02/2024, expected 2024-02-01. Read as ${order}, which some rows prove; pass --date-order to say so.`,
  );

export const timeGoesBack = (at: At) =>
  warning('time-back')(
    at,
    'Unexpected time before that of the row above, expected times to rise. A new pass begins here.',
  );

export const erasedTail = (at: At, bytes: number) =>
  warning('erased-tail')(
    at,
    `Unexpected ${bytes} erased bytes (00 or FF) at the end, expected none. Ignored; the rows before them are used.`,
  );

export const coarseResolution = (at: At, decimals: number, meters: number) =>
  warning('resolution')(
    at,
    `Unexpected positions with ${decimals} decimals everywhere, expected 5 or more. Used; they resolve about ${inMeters(meters)}, and nothing finer can come from them.`,
  );

export const nearPole = (at: At) =>
  warning('pole')(at, 'Unexpected latitude beyond 89 degrees, expected a lake. Used as it stands.');

export const noSoundings = (at: At) =>
  warning('no-soundings')(at, 'Found no soundings that can be used. Nothing of this log reaches the lake.');

export const samePlaceDepths = (at: At) =>
  warning('two-depths')(
    at,
    'Unexpected second depth for the same time and place, expected one (two channels?). Both are used; pass --channel COLUMN=VALUE to choose.',
  );

export const clockOffsetUsed = (at: At, seconds: number, from: string) =>
  note('clock-offset')(at, `${seconds} s added to its times before it was placed on the tracks (${from}).`);

export const clockOffsetEstimated = (at: At, seconds: number, [with_, without]: readonly [number, number]) =>
  warning('clock-offset')(
    at,
    `Unexpected clock ${Math.abs(seconds)} s ${seconds > 0 ? 'behind' : 'ahead of'} the tracks, expected one time. Estimated and corrected: depths at places passed again agree to ${inMeters(with_, 2)} instead of ${inMeters(without, 2)}. Pass --clock-offset 0 to leave it.`,
  );

export const trackElsewhere = (at: At, share: number) =>
  warning('track-elsewhere')(
    at,
    `Unexpected ${Math.round(share * 100)} % of soundings inside the times of the tracks, expected most. Check that --tracks is of that day, and --tz and --clock-offset for a clock hours off.`,
  );

const hex = (code: number): string => code.toString(16).toUpperCase().padStart(2, '0');
