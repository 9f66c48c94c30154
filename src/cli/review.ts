import { dirname, join } from 'node:path';
import { Refusal, type Report } from '../../shared/contract/index.ts';
import { REST_MODEL, type Review, reviewDays } from '../../shared/day/index.ts';
import { parseDay, dayPlanMessages as says } from '../../shared/text/index.ts';
import { formatReviewCsv, formatReviewText, lakePaths, readLake, reviewOptions } from '../day/index.ts';
import { dayOrder } from '../engine/index.ts';
import { checkTargets, ENRICHED, readFolder, readInput } from '../files/index.ts';
import { createCommandIo, reportingAll } from './command-io.ts';
import { writeOutputs } from './enrich-outputs.ts';
import { findDayLogs } from './input-files.ts';
import { lockOnly } from './lake-records.ts';
import { loggedLake } from './logged-lake.ts';
import { type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'review',
  summary:
    'Reviews a logged day: fish by structure, depth, hour and lure, compared with what was expected and with the day before.',
  argument: { name: '<logs...>', help: 'logs of what was fished, files or folders, as with plan --log' },
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, ['reader']);
  const options = resolved.values('review', reviewOptions);
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const logs = findDayLogs(resolved.positionals);
  const lake = options.lake === undefined ? lakeBeside(logs[0]) : lakePaths(options.lake);
  const targets = { force: options.force, sources: [...logs, ...lake, ...resolved.sideFiles] };
  if (options.csv !== undefined) checkTargets([options.csv], targets);
  const review = await reportingAll(io, () => reviewOf(resolved, logs, lake, io.report));
  io.print(resolved.inputs.json ? `${JSON.stringify(review)}\n` : formatReviewText(review, resolved.units));
  if (options.csv !== undefined) {
    const content = formatReviewCsv(review, resolved.units, options.cellGuard);
    await writeOutputs([{ path: options.csv, content }], targets, lockOnly({ logs: [], waypoints: lake }));
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
  resolved: ResolvedCommand,
  files: readonly string[],
  lake: readonly string[],
  report: Report,
): Promise<Review> {
  const options = resolved.values('review', reviewOptions);
  const waypoints = readLake(lake, readInput, resolved.inputs.repair, report);
  if (waypoints.every(({ fields }) => Object.keys(fields).length === 0))
    throw new Refusal([says['not-enriched'](undefined, lake)]);
  const { spots, stops } = await loggedLake(resolved, waypoints, files, options, report);
  const day = options.day === undefined ? undefined : parseDay(options.day, dayOrder(resolved))?.day;
  const rest = { ...REST_MODEL, rho: options.recovery, gap: options.rest };
  const review =
    options.day !== undefined && day === undefined ? undefined : reviewDays(spots, stops, options, rest, day);
  if (review === undefined)
    throw new Refusal([
      says['nothing-to-review'](undefined, options.day, [...new Set(stops.map(({ date }) => date))]),
    ]);
  return review;
}
