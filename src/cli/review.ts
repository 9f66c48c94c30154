import { dirname, join } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import { REST_MODEL, type Review, reviewDays } from '../../shared/day/index.ts';
import { parseDay, dayPlanMessages as says } from '../../shared/text/index.ts';
import { formatReviewCsv, formatReviewText, lakePaths, readLake, reviewOptions } from '../day/index.ts';
import { dayOrder } from '../engine/index.ts';
import { checkTargets, ENRICHED, readFolder, readInput } from '../files/index.ts';
import { findDayLogs } from './input-files.ts';
import { writeOutputs } from './lake-records.ts';
import { loggedLake } from './logged-lake.ts';
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
  if (waypoints.every(({ fields }) => Object.keys(fields).length === 0))
    throw new Refusal([says['not-enriched'](undefined, lake)]);
  const { spots, stops } = await loggedLake(command, waypoints, files, options);
  const day = options.day === undefined ? undefined : parseDay(options.day, dayOrder(command))?.day;
  const rest = { ...REST_MODEL, rho: options.recovery, gap: options.rest };
  const isDay = options.day === undefined || day !== undefined;
  const review = isDay ? reviewDays(spots, stops, options, rest, day) : undefined;
  if (review !== undefined) return review;
  const dates = [...new Set(stops.map(({ date }) => date))];
  throw new Refusal([says['nothing-to-review'](undefined, options.day, dates)]);
}
