import { type Diagnostic, inMeters } from '../../contract/index.ts';
import { type At, logNote, logWarning } from './make.ts';
import { quote } from './quote.ts';

/**
 * Messages about rows of sounding logs that are dropped, or used with reservations. For refused logs:
 * `sounding-refusals.ts`.
 */

// Rows dropped: structure.

export const fieldsDropped = (at: At, found: number, expected: number) =>
  logWarning('fields')(
    at,
    `Row dropped: it has ${found} fields where the header has ${expected}. Correct the line to use it.`,
  );

export const controlDropped = (at: At, code: number) =>
  logWarning('control')(
    at,
    `Row dropped: it holds a control byte (${hex(code)}), so the file is damaged here.`,
  );

export const nulDropped = (at: At) =>
  logWarning('erased')(
    at,
    'Row dropped: part of it was erased (bytes 00 or FF). The card lost a block here.',
  );

export const quoteDropped = (at: At) =>
  logWarning('quote')(
    at,
    'Row dropped: a quote in it is not closed or not doubled. Correct the line to use it.',
  );

export const truncatedDropped = (at: At, found: number, expected: number) =>
  logWarning('truncated')(
    at,
    `Last row dropped: the file ends after ${found} of its ${expected} fields, where recording stopped.`,
  );

export const cutDropped = (at: At, text: string) =>
  logWarning('cut-line')(
    at,
    `Last row dropped: the file ends right after ${quote(text)} with no line end, so the value may be cut short. If it is whole, add --keep-last.`,
  );

// Rows dropped: values.

export const numberDropped = (at: At, column: string, text: string) =>
  logWarning('number')(at, `Row dropped: ${quote(text)} in column "${column}" is not a number.`);

export const groupedDropped = (at: At, column: string, text: string) =>
  logWarning('grouped-number')(
    at,
    `Row dropped: ${quote(text)} in column "${column}" may hold a thousands separator or a decimal mark. Export it without separators.`,
  );

export const decimalDropped = (at: At, column: string, text: string, decimal: string) =>
  logWarning('decimal-mark')(
    at,
    `Row dropped: ${quote(text)} in column "${column}" does not use "${decimal}" as its decimal mark, as the rest of the file does.`,
  );

export const digitsDropped = (at: At, column: string, text: string) =>
  logWarning('digits')(
    at,
    `Row dropped: ${quote(text)} in column "${column}" is not written in the digits 0 to 9. Export it with plain digits.`,
  );

export const spreadsheetDropped = (at: At, column: string, text: string) =>
  logWarning('spreadsheet')(
    at,
    `Row dropped: ${quote(text)} in column "${column}" is a spreadsheet formula or error. Export values, not formulas.`,
  );

export const unitDropped = (at: At, text: string) =>
  logWarning('unit')(at, `Row dropped: its unit ${quote(text)} is not m, ft, fm, yd or cm.`);

export const rangeDropped = (at: At, axis: 'lat' | 'lon', text: string) =>
  logWarning('position-range')(
    at,
    `Row dropped: ${axis === 'lat' ? 'latitude' : 'longitude'} ${quote(text)} is outside ${axis === 'lat' ? '-90 to 90' : '-180 to 360'} degrees.`,
  );

export const minutesDropped = (at: At, column: string, text: string) =>
  logWarning('minutes')(
    at,
    `Row dropped: ${quote(text)} in column "${column}" has minutes or seconds of 60 or more.`,
  );

export const hemisphereDropped = (at: At, text: string, expected: string) =>
  logWarning('hemisphere')(at, `Row dropped: hemisphere ${quote(text)} is not ${expected}.`);

export const noFixDropped = (at: At) =>
  logWarning('no-fix')(at, 'Row dropped: its position is 0, 0, which receivers write when they have no fix.');

export const noPositionDropped = (at: At, text: string) =>
  logWarning('no-position')(at, `Row dropped: ${quote(text)} means that the receiver had no position.`);

export const lostBottomDropped = (at: At) =>
  logWarning('lost-bottom')(
    at,
    'Row dropped: a depth of 0 means that the sonar lost the bottom. If 0 is a true depth, add --zero-is-valid.',
  );

export const depthSignDropped = (at: At, text: string, expected: string) =>
  logWarning('depth-sign')(
    at,
    `Row dropped: depth ${quote(text)} is not ${expected}. Say which way depths count with --vertical.`,
  );

export const noDepthDropped = (at: At, text: string) =>
  logWarning('no-depth')(at, `Row dropped: ${quote(text)} means that the sonar had no depth.`);

export const depthRangeDropped = (at: At, text: string, most: number) =>
  logWarning('depth-range')(
    at,
    `Row dropped: depth ${quote(text)} is more than ${inMeters(most)}. If the water is deeper, raise --max-depth.`,
  );

export const channelDropped = (at: At, channel: string) =>
  logNote('channel')(at, `Rows of channels other than ${channel} are left out, as asked.`);

export const invalidDropped = (at: At, column: string) =>
  logWarning('marked-invalid')(
    at,
    `Row dropped: column ${JSON.stringify(column)} says that it is not valid. If that column means something else, add --map "ignore=${column}".`,
  );

export const duplicateDropped = (at: At) =>
  logWarning('duplicate-row')(at, 'Row dropped: it repeats the time, place and depth of an earlier row.');

export const noTimeDropped = (at: At) =>
  logWarning('no-time')(at, 'Row dropped: it has neither a time nor a position, so it cannot be placed.');

export const offTrackDropped = (at: At) =>
  logWarning('off-track')(
    at,
    'Row dropped: its time is outside your tracks or in a gap of them. Check --tracks, --tz and --clock-offset.',
  );

// Rows kept with reservations.

export const timeInvalid = (at: At, text: string) =>
  logWarning('time-invalid')(
    at,
    `Row kept without its time: ${quote(text)} is not a date and time that exist.`,
  );

export const timeYear = (at: At, text: string) =>
  logWarning('time-year')(
    at,
    `Row kept without its time: ${quote(text)} is before 1990 or after tomorrow. Set the clock of the unit.`,
  );

export const timeReset = (at: At, text: string) =>
  logWarning('time-reset')(
    at,
    `Row kept without its time: ${quote(text)} is where clocks start after a reset.`,
  );

export const timeRollover = (at: At) =>
  logWarning('time-rollover')(
    at,
    'Row kept without its time: it is exactly 1024 weeks before its neighbors, because the receiver lost count of GPS weeks.',
  );

export const timeFold = (at: At, text: string, zone: string) =>
  logWarning('time-fold')(
    at,
    `Clocks in ${zone} showed ${quote(text)} twice that day. The earlier one is used; log in UTC to be sure.`,
  );

export const timeGap = (at: At, text: string, zone: string) =>
  logWarning('time-gap')(
    at,
    `Clocks in ${zone} skipped ${quote(text)} that day. Read as standard time; check --tz.`,
  );

export const longitudeWrapped = (at: At, text: string) =>
  logWarning('longitude-wrapped')(
    at,
    `Longitude ${quote(text)} is above 180 degrees. Read as that less 360.`,
  );

export const minusSign = (at: At, text: string) =>
  logWarning('minus-sign')(at, `The dash in ${quote(text)} is not a minus sign. Read as minus.`);

export const quotedDecimal = (at: At, text: string) =>
  logWarning('decimal-comma')(at, `${quote(text)} is read with a decimal comma, as everywhere in this file.`);

export const strayQuote = (at: At) =>
  logWarning('stray-quote')(at, 'A value holds a single quote inside. It is used as written.');

export const coarsePosition = (at: At, text: string) =>
  logWarning('coarse-position')(
    at,
    `Position ${quote(text)} has fewer than 4 decimals of a degree, so it may be off by ${inMeters(11)} or more. It is used.`,
  );

// Reported once for a log.

export const notUtf8 = (at: At) =>
  logWarning('encoding')(
    at,
    'This file is not UTF-8. Its texts are read as windows-1252; numbers are not affected.',
  );

export const guessedUtf16 = (at: At) =>
  logWarning('utf-16')(at, 'This file is read as UTF-16, although it has no byte order mark.');

export const mixedLineEnds = (at: At) =>
  logWarning('line-ends')(
    at,
    'Lines end in more than one way in this file. Each kind is read as a line end.',
  );

export const headerLine = (at: At, text: string) =>
  logWarning('header-line')(at, `The lines before the header are skipped. The header is ${quote(text)}.`);

export const headerSkipped = (at: At, text: string) =>
  logWarning('header-skipped')(
    at,
    `The header ${quote(text)} is skipped, since --columns names the columns.`,
  );

export const unitsRow = (at: At, text: string) =>
  logWarning('units-row')(at, `The row ${quote(text)} is read as the units of the columns.`);

export const headerRepeated = (at: At) =>
  logWarning('header-repeated')(
    at,
    'The header comes again. It is skipped; the rows before and after it are used.',
  );

export const headerChanged = (at: At, text: string) =>
  logWarning('header-changed')(
    at,
    `A second header, ${quote(text)}, gives the columns and units from here on.`,
  );

export const extraColumns = (at: At, names: readonly string[]) =>
  logNote('extra-columns')(at, `Columns not used: ${names.map((name) => quote(name)).join(', ')}.`);

export const spacesDelimiter = (at: At) =>
  logWarning('spaces')(at, 'Values are separated by spaces. A run of spaces is read as one separator.');

export const projectedNames = (at: At) =>
  logWarning('x-y')(at, 'Columns "x" and "y" are read as longitude and latitude, which their values fit.');

/** @param what `the values`, of which column. */
export const elevationAsDepth = (at: At, what: string, share: number): Diagnostic => ({
  ...logWarning('elevation')(
    at,
    `Read as elevations, so that -3 is a depth of 3: ${Math.round(share * 100)} % of ${what} are negative. Add --vertical up to say so.`,
  ),
  repair: { setting: 'vertical', value: 'up' },
});

export const depthUnitUsed = (at: At, unit: string, from: string): Diagnostic => ({
  ...logNote('depth-unit')(at, `Depths are in ${unit} (${from}).`),
  values: { unit },
});

export const temperatureUnit = (at: At, column: string) =>
  logNote('temperature-unit')(
    at,
    `Temperatures are not used: column "${column}" does not say whether they are F or C. Name it ${column}_f or ${column}_c.`,
  );

export const severalTimes = (at: At, used: string, others: readonly string[]) =>
  logNote('several-times')(
    at,
    `Several columns look like times: ${[used, ...others].map((name) => quote(name)).join(', ')}. The first is used; choose another with --map time=NAME.`,
  );

export const severalDepths = (at: At, used: string, others: readonly string[]) =>
  logNote('several-depths')(
    at,
    `Several columns hold depths: ${quote(used)} is used, ${others.map((name) => quote(name)).join(', ')} is not. Choose another with --map depth=NAME.`,
  );

export const noTimes = (at: At) =>
  logNote('no-times')(
    at,
    'This log has no times: rows are taken in file order, and nothing that needs times is checked.',
  );

export const zonelessTimes = (at: At, zone: string) =>
  logWarning('time-zone')(
    at,
    `Times have no zone and are read as ${zone}. If the clock was set otherwise, add --tz.`,
  );

export const relativeTimes = (at: At) =>
  logWarning('time-relative')(
    at,
    'Times have no date. They give order and speed only; water levels by day cannot apply.',
  );

export const daysOnly = (at: At) =>
  logWarning('time-day-only')(
    at,
    'Dates have no time of day. They are read as noon, and speeds are not checked.',
  );

export const mixedTimes = (at: At, forms: readonly string[]) =>
  logWarning('time-forms')(
    at,
    `Times are written in several forms (${forms.join(', ')}). Each is read in its own form.`,
  );

export const provenDateOrder = (at: At, order: string) =>
  logWarning('date-order')(
    at,
    `Dates such as 01/02/2024 are read as ${order}, which some rows prove. Add --date-order to say so.`,
  );

export const timeGoesBack = (at: At) =>
  logWarning('time-back')(at, 'The time goes back to before the row above. A new pass begins here.');

export const erasedLogTail = (at: At, bytes: number) =>
  logWarning('erased-tail')(
    at,
    `The last ${bytes} bytes of this file are erased (00 or FF). The rows before them are used.`,
  );

export const coarseResolution = (at: At, decimals: number, meters: number) =>
  logWarning('resolution')(
    at,
    `Positions have only ${decimals} decimals, so they are good to about ${inMeters(meters)} and nothing finer can come from them.`,
  );

export const nearPole = (at: At) =>
  logWarning('pole')(at, 'Latitudes are beyond 89 degrees. Used as they are; check the columns.');

/** @param severity An error when the log has rows, so that something should have been read. */
export const nothingUsable = (at: At, rows: number): Diagnostic => ({
  ...logWarning('no-soundings')(at, 'Nothing in this log can be used.'),
  severity: rows > 0 ? 'error' : 'warning',
});

export const heightsAsDepths = (at: At): Diagnostic => ({
  ...logWarning('ele-below')(
    at,
    'Nothing in this log can be used: its points have no depth, but elevations below 0. If these are depths with a minus sign, add --ele-is-depth.',
  ),
  severity: 'error',
  repair: { setting: 'ele-is-depth', value: 'on' },
});

export const samePlaceDepths = (at: At) =>
  logWarning('two-depths')(
    at,
    'Two depths have the same time and place (two sonar channels?). Both are used; choose one with --channel COLUMN=VALUE.',
  );

export const clockOffsetUsed = (at: At, seconds: number, from: string) =>
  logNote('clock-offset')(at, `${seconds} s was added to its times to place it on the tracks (${from}).`);

export const clockOffsetEstimated = (at: At, seconds: number, [with_, without]: readonly [number, number]) =>
  logWarning('clock-offset')(
    at,
    `The clock of this log is ${Math.abs(seconds)} s ${seconds > 0 ? 'behind' : 'ahead of'} your tracks. That is corrected: where you passed twice, depths now agree to ${inMeters(with_, 2)} instead of ${inMeters(without, 2)}. Add --clock-offset 0 to leave it.`,
  );

export const trackElsewhere = (at: At, share: number) =>
  logWarning('track-elsewhere')(
    at,
    `Only ${Math.round(share * 100)} % of the soundings fall inside the times of your tracks. Check that --tracks is of that day; for a clock hours off, add --tz or --clock-offset.`,
  );

const hex = (code: number): string => code.toString(16).toUpperCase().padStart(2, '0');

/** Applies to a whole log and is placed at its first row. */
export const outOfOrder = (place: At): Diagnostic => ({
  severity: 'warning',
  code: 'soundings/time-order',
  message: 'Rows are not in time order (newest first?). They were sorted by time.',
  place,
});
