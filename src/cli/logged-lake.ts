import {
  type CsvFile,
  type EnrichedWaypoint,
  type OptionValues,
  Refusal,
} from '../../shared/contract/index.ts';
import {
  bareSpot,
  type FishingSpot,
  type LoggedStop,
  overDaysOf,
  REST_MODEL,
  readLoggedStops,
  readMarkNotes,
  readSizes,
  spotsFromMarks,
} from '../../shared/day/index.ts';
import { dayPlanMessages as says } from '../../shared/text/index.ts';
import { reviewOptions, tackleLines } from '../day/index.ts';
import { dayLogs } from '../engine/index.ts';
import { readInput } from '../files/index.ts';
import { findDayLogs } from './input-files.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/**
 * Reads the day logs of a lake. Every mark counts, even one without a cast, since it was fished.
 *
 * @returns The spots, and the stops sorted by date and time. @throws Refusal for a log that cannot be read.
 */
export async function loggedLake(
  command: ResolvedCommand,
  waypoints: readonly EnrichedWaypoint[],
  files: readonly string[],
  options: Pick<OptionValues<typeof reviewOptions>, 'marks' | 'cast' | 'sizes'>,
): Promise<{ readonly spots: readonly FishingSpot[]; readonly stops: readonly LoggedStop[] }> {
  const { report } = command.io;
  const names = waypoints.map(({ waypoint }) => waypoint.name);
  const log = (await dayLogs(command, files, readInput, names, report)) as CsvFile;
  const read = options.marks === undefined ? undefined : readMarkNotes(options.marks, new Set(names));
  read?.diagnostics.forEach(report);
  const { spots, leftOut } = spotsFromMarks(waypoints, read?.notes ?? new Map(), options.cast, 1);
  const bare = new Set(leftOut.map(({ name }) => name));
  const all = [...spots, ...waypoints.filter(({ waypoint }) => bare.has(waypoint.name)).map(bareSpot)];
  const sizes = readSizes(options, (problem) => {
    throw new Refusal([problem], 2);
  });
  const { stops, diagnostics } = readLoggedStops(log, all, command.date, sizes);
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  if (errors.length > 0) throw new Refusal(errors);
  diagnostics.forEach(report);
  return { spots: all, stops };
}

/** Reports which lures and distances a lake's logs favor, in one note with the counts; this changes nothing. */
export async function reportLoggedTackle(
  command: ResolvedCommand,
  paths: readonly string[],
  waypoints: readonly EnrichedWaypoint[],
): Promise<void> {
  const options = command.values('review', reviewOptions);
  const { spots, stops } = await loggedLake(command, waypoints, findDayLogs(paths), options);
  if (stops.length === 0) return;
  const found = overDaysOf(spots, stops, { ...options, date: command.date }, REST_MODEL);
  const lines = tackleLines(found, command.units).join('; ');
  command.io.report(says['log-favors'](undefined, `From your logs: ${lines}.`));
}
