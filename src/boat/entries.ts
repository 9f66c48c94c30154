import { sort } from 'd3-array';
import { csvFormatRows } from 'd3-dsv';
import { countBy } from 'es-toolkit';
import type { CsvFile } from '../../shared/contract/index.ts';
import { LOG_COLUMNS, type SideLetter } from '../../shared/day/index.ts';
import { formatClock } from '../../shared/text/index.ts';

/** Kind of a tap: stop begun, fish caught, bite missed, angle changed, stop ended, wish for a spot. */
export type EntryKind = 'start' | 'fish' | 'missed' | 'angle' | 'leave' | 'wish';

/** A wish for a spot; `none` withdraws a wish tapped earlier or given with the plan. */
export type BoatWish = 'must' | 'skip' | 'last' | 'none';

/** One tap, or one entry added or edited by the user, as the phone stores it. */
export interface Entry {
  /** Number that ascends in the order of the taps. */
  readonly id: number;
  readonly kind: EntryKind;
  /** Date by the phone's clock, `YYYY-MM-DD`. */
  readonly date: string;
  /** Time by the phone's clock or as entered by the user, s of the day. */
  readonly time: number;
  /** Name of the spot. */
  readonly mark: string;
  /** Side of the spot that the boat is on; meaningless in a wish. */
  readonly side: SideLetter;
  readonly lure?: string;
  /** Word for the size of the fish. */
  readonly size?: string;
  /** Text of the angle that the user changed to. */
  readonly angle?: string;
  readonly wish?: BoatWish;
  /** Place of the tap, deg; absent when no exact position was known. */
  readonly lat?: number;
  readonly lon?: number;
  /** Accuracy of `lat` and `lon`, m. */
  readonly exact?: number;
}

const beginning = ({ date, mark, side, time, lure = '' }: Entry) => ({
  date,
  mark,
  side,
  /** Start of the stop, s of the day. */
  start: time,
  /** End of the stop, s of the day; undefined while the stop is being fished. */
  end: undefined as number | undefined,
  fish: 0,
  missed: 0,
  sizes: [] as string[],
  angles: [] as string[],
  lure,
  /** Time of the last bite, s of the day; the start if there was none. */
  lastBite: time,
});

export type FishedStop = Readonly<ReturnType<typeof beginning>>;

/**
 * Derives the stops from entries in any order; wishes do not count. An entry `leave` ends the open stop. Any
 * other entry with another spot, side or date ends the open stop and begins a new one. The last stop may
 * still be open.
 *
 * @param date Current day; stops of earlier days are closed.
 */
export function fishedStops(entries: readonly Entry[], date: string): FishedStop[] {
  const stops: ReturnType<typeof beginning>[] = [];
  let open: ReturnType<typeof beginning> | undefined;
  const close = (time: number): void => {
    if (open !== undefined) open.end = Math.max(open.start + 60, time);
    open = undefined;
  };
  for (const entry of sort(
    entries,
    ({ date }) => date,
    ({ time }) => time,
    ({ id }) => id,
  )) {
    const { kind, mark, side, time } = entry;
    if (kind === 'wish') continue;
    if (open !== undefined && open.date !== entry.date) close(open.lastBite);
    if (kind === 'leave') {
      close(time);
      continue;
    }
    if (open !== undefined && (open.mark !== mark || open.side !== side)) close(time);
    if (open === undefined) {
      open = beginning(entry);
      stops.push(open);
    }
    if (kind === 'fish') {
      open.fish++;
      if (entry.size !== undefined) open.sizes.push(entry.size);
    }
    if (kind === 'missed') open.missed++;
    if (kind === 'fish' || kind === 'missed') open.lastBite = time;
    if (kind === 'angle' && entry.angle !== undefined) open.angles.push(entry.angle);
    open.lure = entry.lure ?? open.lure;
  }
  if (open !== undefined && open.date !== date) close(open.lastBite);
  return stops;
}

/** Returns the last wish for each mark. */
export const wishesOf = (entries: readonly Entry[]): ReadonlyMap<string, BoatWish> =>
  new Map(entries.flatMap(({ mark, wish }) => (wish === undefined ? [] : [[mark, wish]])));

/**
 * Writes the log that the planner and `plan --log` read, one row per stop.
 *
 * @param until Time up to which an open stop is counted, s of the day; the stop's note says so.
 */
export function logTable(stops: readonly FishedStop[], until: number): CsvFile {
  const rows = stops.map((stop, at) => ({ line: at + 2, values: logRow(stop, until) }));
  return { file: 'boat log', header: LOG_COLUMNS, rows };
}

function logRow(stop: FishedStop, until: number): Readonly<Record<string, string>> {
  const end = stop.end ?? Math.max(stop.start + 60, until);
  const sizes = Object.entries(countBy(stop.sizes, (size) => size));
  const notes = [
    ...(stop.end === undefined ? [`still there, counted to ${formatClock(end)}`] : []),
    ...(stop.missed > 0 ? [`${stop.missed} missed`] : []),
    ...stop.angles,
  ];
  return {
    date: stop.date,
    time: formatClock(stop.start),
    mark: stop.mark,
    minutes: String(Math.min(999, Math.max(1, Math.round((end - stop.start) / 60)))),
    fish: String(stop.fish),
    side: stop.side,
    lure: stop.lure,
    size: sizes.map(([size, fish]) => (fish > 1 ? `${fish} ${size}` : size)).join(', '),
    note: notes.join('; '),
  };
}

/** Columns of the exported file. The planner reads more columns, which only logs made elsewhere have. */
const WRITTEN = ['date', 'time', 'mark', 'minutes', 'fish', 'side', 'lure', 'size', 'note'] as const;

export const logCsv = ({ rows }: Pick<CsvFile, 'rows'>): string =>
  `${csvFormatRows([[...WRITTEN], ...rows.map(({ values }) => WRITTEN.map((column) => values[column] ?? ''))])}\n`;
