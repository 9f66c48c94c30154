import {
  type CsvFile,
  type Diagnostic,
  type EnrichedWaypoint,
  type OptionValues,
  Refusal,
} from '../../shared/contract/index.ts';
import {
  bareSpot,
  type FishingSpot,
  type LoggedStop,
  readLoggedStops,
  readMarkNotes,
  readSizes,
  spotsFromMarks,
} from '../../shared/day/index.ts';
import type { DayOrder } from '../../shared/text/index.ts';
import { readLogs, type reviewOptions } from '../day/index.ts';
import { zoneOf } from '../engine/index.ts';
import { readInput } from '../files/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import type { ResolvedCommand } from './resolve-command.ts';

export interface LoggedLake {
  readonly spots: readonly FishingSpot[];
  /** Sorted by date and time. */
  readonly stops: readonly LoggedStop[];
}

/**
 * Reads the day logs of a lake. Every mark counts, even one without a cast, since it was fished.
 *
 * @throws Refusal for a log that cannot be read.
 */
export async function loggedLake(
  resolved: ResolvedCommand,
  waypoints: readonly EnrichedWaypoint[],
  files: readonly string[],
  options: Pick<OptionValues<typeof reviewOptions>, 'marks' | 'cast' | 'sizes'>,
  report: (diagnostic: Diagnostic) => void,
): Promise<LoggedLake> {
  const names = waypoints.map(({ waypoint }) => waypoint.name);
  const log = (await readLogs(
    files,
    readInput,
    names,
    zoneOf(resolved.values('reader', readerOptions).tz),
    report,
    dayOrder(resolved),
  )) as CsvFile;
  const read = options.marks === undefined ? undefined : readMarkNotes(options.marks, new Set(names));
  read?.diagnostics.forEach(report);
  const { spots, leftOut } = spotsFromMarks(waypoints, read?.notes ?? new Map(), options.cast, 1);
  const bare = new Set(leftOut.map(({ name }) => name));
  const all = [...spots, ...waypoints.filter(({ waypoint }) => bare.has(waypoint.name)).map(bareSpot)];
  const sizes = readSizes(options, (problem) => {
    throw new Refusal([problem], 2);
  });
  const { stops, diagnostics } = readLoggedStops(log, all, resolved.date, sizes);
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  if (errors.length > 0) throw new Refusal(errors);
  diagnostics.forEach(report);
  return { spots: all, stops };
}

/** Order of day and month in dates that are only numbers. */
export const dayOrder = (resolved: ResolvedCommand): DayOrder =>
  resolved.values('reader', readerOptions).dateOrder === 'dmy' ? 'dmy' : 'mdy';
