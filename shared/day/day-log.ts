import { sortBy, uniqBy } from 'es-toolkit/array';
import { type CsvFile, type Diagnostic, METERS_PER, type Place } from '../contract/index.ts';
import { localFrame } from '../geo/index.ts';
import { WIND_PATTERN } from '../retrieve/index.ts';
import { lengthUnitOf, nearNames, parseClock, parseDay, dayPlanMessages as says } from '../text/index.ts';
import { markNames } from './marks.ts';
import type { Side } from './problem.ts';
import { parseWeight } from './sizes.ts';
import type { FishingSpot, LeftOut } from './spots.ts';

/** Properties of a spot by which lines of the log are matched to it. */
export type LoggedSpot = Pick<FishingSpot, 'name' | 'marks' | 'lat' | 'lon'>;

export interface LoggedStop {
  readonly date: string;
  /** Logged time, taken as the time of the first cast, s of the day. */
  readonly time: number;
  readonly spot: number;
  readonly side: Side;
  /** Length of the stop, s. */
  readonly stay: number;
  readonly fish: number;
  /** Weights of the fish whose size was logged, kg. */
  readonly weights: readonly number[];
  readonly lure: string;
  /** Distance from the boat to the fish, m, if logged. */
  readonly distance?: number;
  /** Wind from the wind column or the note, such as SW@10mph; empty when neither has a wind. */
  readonly wind: string;
  readonly note: string;
}

/** Columns of a converted log. `lat` and `lon` are filled for a stop logged as a waypoint on the water. */
export const LOG_COLUMNS = [
  'date',
  'time',
  'mark',
  'minutes',
  'fish',
  'side',
  'lure',
  'size',
  'distance',
  'wind',
  'note',
  'lat',
  'lon',
  'file',
  'line',
] as const;

/** Maximum distance at which a stop logged without a known mark counts for the nearest spot, m. */
const NEAR_MARK = 100;
/** Length assumed for a stop without minutes, s. */
const USUAL_STAY = 1200;

/**
 * Reads the stops of a log. A stop is matched to a spot by the name of its mark, else by its position. Stops
 * without a spot, at a mark of `leftOut` or with an invalid value are reported and left out.
 *
 * @param date Day of the plan. Rows without a date belong to this day. Stops on later days are reported and
 * left out.
 * @param sizes Weight of each size word, kg. @param leftOut Marks of the lake that are not spots.
 * @returns Stops sorted by date and time; they do not depend on the order of the lines.
 */
export function readLoggedStops(
  log: CsvFile,
  spots: readonly LoggedSpot[],
  date: string,
  sizes: ReadonlyMap<string, number>,
  leftOut: readonly LeftOut[] = [],
): { stops: LoggedStop[]; diagnostics: Diagnostic[] } {
  const diagnostics: Diagnostic[] = [];
  const stops: LoggedStop[] = [];
  for (const { line, values } of log.rows) {
    const place = { file: values.file || log.file, line: Number(values.line) || line };
    const stop = readStop(values, place, { spots, leftOut }, date, sizes, diagnostics);
    if (stop !== undefined) stops.push(stop);
  }
  // Equal stops count once: a copied log or a repeated export contains stops twice.
  const once = sortBy(
    uniqBy(stops, (stop) => JSON.stringify(stop)),
    [(stop) => stop.date, (stop) => stop.time, (stop) => JSON.stringify(stop)],
  );
  if (once.length < stops.length) diagnostics.push(says['log-twice'](undefined, stops.length - once.length));
  return { stops: once, diagnostics };
}

interface Lake {
  readonly spots: readonly LoggedSpot[];
  readonly leftOut: readonly LeftOut[];
}

function readStop(
  values: Readonly<Record<string, string>>,
  place: Place,
  lake: Lake,
  planned: string,
  sizes: ReadonlyMap<string, number>,
  diagnostics: Diagnostic[],
): LoggedStop | undefined {
  const refuse = (column: string, expected: string): undefined =>
    void diagnostics.push(says['log-value'](place, column, values[column] ?? '', expected));
  const text = (column: string): string => (values[column] ?? '').trim();
  const date = text('date') === '' ? planned : parseDay(text('date'))?.day;
  if (date === undefined) return refuse('date', 'a day such as 2026-05-18 or 5/18/2026, or nothing');
  const time = parseClock(text('time'));
  if (time === undefined) return refuse('time', 'a time such as 7:15 or 2:40pm');
  if (!/^\d{1,3}$/.test(text('fish'))) return refuse('fish', 'a whole number of fish up to 999, 0 for none');
  const minutes = text('minutes');
  if (minutes !== '' && !/^[1-9]\d{0,2}$/.test(minutes))
    return refuse('minutes', 'whole minutes from 1 to 999, or nothing');
  const side = text('side').toUpperCase();
  if (!['', 'D', 'U'].includes(side)) return refuse('side', 'D, U or nothing');
  const weights = parseSizes(text('size'), sizes);
  if (weights === undefined)
    return refuse('size', `a list such as "2 keeper, 4lb" (size words: ${[...sizes.keys()].join(', ')})`);
  const distance = parseDistance(text('distance'));
  if (distance !== undefined && Number.isNaN(distance))
    return refuse('distance', 'a distance with its unit, such as 45yd or 40m, or nothing');
  const spot = findSpot(values, place, lake, diagnostics);
  if (spot === undefined) return undefined;
  if (date > planned) return void diagnostics.push(says['log-later'](place, date, planned));
  return {
    date,
    time,
    spot,
    side: side === 'U' ? 1 : 0,
    stay: minutes === '' ? USUAL_STAY : Number(minutes) * 60,
    fish: Number(text('fish')),
    weights,
    lure: text('lure'),
    distance: distance ?? parseDistance(YARDS.exec(text('note'))?.[0] ?? ''),
    wind: text('wind') || (WIND_PATTERN.exec(text('note'))?.[0] ?? ''),
    note: text('note'),
  };
}

/** A distance in a note. Only yards are read, because feet may be a depth and `m` may mean minutes. */
const YARDS = /\b\d{1,3} ?(?:yds?|yards?)\b/i;

/** Parses a distance. @returns m; undefined for empty text, NaN for text that is not a distance. */
function parseDistance(text: string): number | undefined {
  if (text === '') return undefined;
  const match = /^(\d{1,3}(?:\.\d+)?)\s*([a-z]+)$/i.exec(text);
  const unit = match === null ? undefined : lengthUnitOf(match[2]);
  return match === null || unit === undefined ? Number.NaN : Number(match[1]) * METERS_PER[unit];
}

function findSpot(
  values: Readonly<Record<string, string>>,
  place: Place,
  { spots, leftOut }: Lake,
  diagnostics: Diagnostic[],
): number | undefined {
  const mark = (values.mark ?? '').trim();
  const known = markNames(leftOut.map(({ name }) => name))(mark);
  const noSpot = leftOut.find(({ name }) => name === known);
  const refuse = (diagnostic: Diagnostic): undefined => void diagnostics.push(diagnostic);
  if (noSpot !== undefined) return refuse(says['log-no-spot'](place, noSpot.name, noSpot.why));
  const names = spots.flatMap(({ marks }) => marks);
  const named = markNames(names)(mark);
  if (named !== undefined) return spots.findIndex(({ marks }) => marks.includes(named));
  const [lat, lon] = [values.lat, values.lon].map((text) => Number.parseFloat(text ?? ''));
  if (!Number.isFinite(lat) || !Number.isFinite(lon) || spots.length === 0)
    return refuse(says['log-mark'](place, mark, nearNames(mark, names)));
  const frame = localFrame(lat, lon);
  const distances = spots.map((spot) => Math.hypot(...frame.toLocal(spot.lat, spot.lon)));
  const nearest = distances.indexOf(Math.min(...distances));
  if (distances[nearest] <= NEAR_MARK) return nearest;
  return refuse(says['log-far'](place, mark, spots[nearest].name, distances[nearest]));
}

/**
 * Parses sizes such as `2 keeper, good, 4lb`.
 *
 * @returns Weight of each fish, kg; undefined when a part is neither a size word nor a weight.
 */
function parseSizes(text: string, sizes: ReadonlyMap<string, number>): number[] | undefined {
  const weights: number[] = [];
  for (const part of text.split(/[,;+]/).map((piece) => piece.trim().toLowerCase())) {
    if (part === '') continue;
    const match = /^(\d{1,2})\s*x?\s+([a-z]+)$/.exec(part);
    const [count, word] =
      match === null || parseWeight(part) !== undefined ? [1, part] : [Number(match[1]), match[2]];
    const weight = parseWeight(word) ?? sizes.get(word) ?? sizes.get(word.replace(/s$/, ''));
    if (weight === undefined) return undefined;
    for (let fish = 0; fish < count; fish++) weights.push(weight);
  }
  return weights;
}
