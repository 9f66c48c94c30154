import { dirname, join } from 'node:path';
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
  type Review,
  readLoggedStops,
  readMarkNotes,
  readSizes,
  reviewDays,
  spotsFromMarks,
} from '../../shared/day/index.ts';
import { parseDay, dayPlanMessages as says } from '../../shared/text/index.ts';
import {
  formatReviewCsv,
  formatReviewText,
  lakePaths,
  readLake,
  reviewOptions,
  tackleLines,
} from '../day/index.ts';
import { dayLogs, dayOrder } from '../engine/index.ts';
import { checkTargets, ENRICHED, readFolder, readInput } from '../files/index.ts';
import { findDayLogs } from './input-files.ts';
import { writeOutputs } from './lake-records.ts';
import { type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'review',
  summary:
    'Reviews a logged day: fish by structure, depth, hour and lure, compared with what was expected and with the day before.',
  argument: { name: '<logs...>', help: 'logs of what was fished, files or folders, as with plan --log' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const command = await resolveCommand(SHAPE, argv, ['reader']);
  const { io, inputs, units } = command;
  const options = command.values('review', reviewOptions);
  const logs = findDayLogs(command.positionals);
  const lake = options.lake === undefined ? lakeBeside(logs[0]) : lakePaths(options.lake);
  const targets = { force: options.force, sources: [...logs, ...lake, ...command.sideFiles] };
  if (options.csv !== undefined) checkTargets([options.csv], targets);
  const review = await io.reportingAll(() => reviewOf(command, logs, lake));
  io.print(inputs.json ? `${JSON.stringify(review)}\n` : formatReviewText(review, units));
  if (options.csv !== undefined) {
    const content = formatReviewCsv(review, units, options.cellGuard);
    const files = { logs: [], waypoints: lake, tracks: [] };
    await writeOutputs(command, files, [{ path: options.csv, content }], targets);
  }
  return 0;
}

function lakeBeside(log: string): string[] {
  const folder = dirname(log);
  const files = readFolder(folder)
    .map(({ name }) => join(folder, name))
    .filter((file) => ENRICHED.test(file));
  if (files.length === 0) throw new Refusal([says['no-lake'](undefined, folder)], 2);
  return files;
}

async function reviewOf(
  command: ResolvedCommand,
  files: readonly string[],
  lake: readonly string[],
): Promise<Review> {
  const options = command.values('review', reviewOptions);
  const waypoints = readLake(lake, readInput, command.inputs.repair, command.io.report);
  if (waypoints.length === 0) throw new Refusal([says['not-enriched no-marks'](undefined, lake)]);
  const { spots, stops } = await loggedLake(command, waypoints, files, options);
  const day = options.day === undefined ? undefined : parseDay(options.day, dayOrder(command))?.day;
  const rest = { ...REST_MODEL, rho: options.recovery, gap: options.rest };
  if (options.day !== undefined && day === undefined)
    throw new Refusal([says['nothing-to-review day'](undefined, options.day)]);
  const review = reviewDays(spots, stops, options, rest, day);
  if (review !== undefined) return review;
  const dates = [...new Set(stops.map(({ date }) => date))];
  throw new Refusal([says['nothing-to-review'](undefined, options.day, dates)]);
}

/**
 * Reads the day logs of a lake. Every mark counts, even one without a cast, since it may have been fished.
 *
 * @returns The spots, and the stops sorted by date and time. @throws Refusal for a log that cannot be read.
 */
async function loggedLake(
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

/** Reports in one note which lures and distances a lake's logs favor. Casts are not changed. */
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
