import { dirname, join } from 'node:path';
import {
  type CsvFile,
  type Diagnostic,
  type EnrichedWaypoint,
  Refusal,
} from '../../shared/contract/index.ts';
import {
  bareSpot,
  type FishingSpot,
  REST_MODEL,
  type Review,
  readLoggedStops,
  readMarkNotes,
  readSizes,
  reviewDays,
  spotsFromMarks,
} from '../../shared/day/index.ts';
import { type DayOrder, notEnriched, parseDay, dayPlan as says } from '../../shared/text/index.ts';
import {
  formatReviewCsv,
  formatReviewText,
  lakeFiles,
  readLake,
  readLogs,
  reviewOptions,
} from '../day/index.ts';
import { checkTargets, ENRICHED, readFolder } from '../files/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import { HELP_FOOTER } from './cautions.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { createCommandIo, sayingAll } from './command-io.ts';
import { writeOutputs } from './enrich-outputs.ts';
import { findDayLogs } from './input-files.ts';
import { type Settled, settle } from './settle.ts';
import { zoneOf } from './zone-of.ts';

const SHAPE = {
  name: 'review',
  summary:
    'Reviews a logged day: what gave fish by structure, depth, hour and lure against what was expected, and the day before beside it.',
  argument: { name: '<logs...>', help: 'logs of what was fished, files or folders, as with plan --log' },
  footer: HELP_FOOTER,
} as const;

/** Prints the review, as JSON with --json, and writes the table asked for. @returns Exit status 0. */
export async function run(argv: readonly string[]): Promise<number> {
  const settled = await settle(SHAPE, COMMAND_GROUPS.review, argv, ({ stage }) => stage === 'reader');
  const options = settled.values('review', reviewOptions);
  const io = createCommandIo(settled.inputs.json, settled.units);
  const logs = findDayLogs(settled.positionals);
  const lake = options.lake === undefined ? lakeBeside(logs[0]) : lakeFiles(options.lake);
  const targets = {
    force: options.force,
    inPlace: false,
    inputs: [],
    sources: [...logs, ...lake, ...settled.sideFiles],
  };
  if (options.csv !== undefined) checkTargets([options.csv], targets);
  const review = await sayingAll(io, () => reviewOf(settled, logs, lake, io.say));
  io.print(settled.inputs.json ? `${JSON.stringify(review)}\n` : formatReviewText(review, settled.units));
  if (options.csv !== undefined) {
    const bytes = new TextEncoder().encode(formatReviewCsv(review, settled.units));
    await writeOutputs([{ path: options.csv, bytes }], targets);
  }
  return 0;
}

/** Enriched files in the folder of a log. @throws Refusal when there are none. */
function lakeBeside(log: string): string[] {
  const folder = dirname(log);
  const files = readFolder(folder)
    .map(({ name }) => join(folder, name))
    .filter((file) => ENRICHED.test(file));
  if (files.length === 0) throw new Refusal([says.reviewWithoutLake(folder)], 2);
  return files;
}

/** @throws Refusal when there is no stop on the day, or a log that cannot be read. */
async function reviewOf(
  settled: Settled,
  files: readonly string[],
  lake: readonly string[],
  report: (diagnostic: Diagnostic) => void,
): Promise<Review> {
  const options = settled.values('review', reviewOptions);
  const waypoints = readLake(lake, settled.inputs.salvage, report);
  if (waypoints.every(({ fields }) => Object.keys(fields).length === 0))
    throw new Refusal([notEnriched(lake)]);
  const reader = settled.values('reader', readerOptions);
  const order: DayOrder = reader.dateOrder === 'dmy' ? 'dmy' : 'mdy';
  const names = waypoints.map(({ waypoint }) => waypoint.name);
  const zone = await zoneOf(reader.tz);
  const log = (await readLogs(files, names, zone, report, order)) as CsvFile;
  const spots = spotsOf(waypoints, options, report);
  const sizes = readSizes(options, (problem) => {
    throw new Refusal([problem], 2);
  });
  const { stops, diagnostics } = readLoggedStops(log, spots, settled.date, sizes);
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  if (errors.length > 0) throw new Refusal(errors);
  diagnostics.forEach(report);
  const day = options.day === undefined ? undefined : parseDay(options.day, order)?.day;
  const rest = { ...REST_MODEL, rho: options.recovery, gap: options.rest };
  const review =
    options.day !== undefined && day === undefined ? undefined : reviewDays(spots, stops, options, rest, day);
  if (review === undefined)
    throw new Refusal([says.nothingToReview(options.day, [...new Set(stops.map(({ date }) => date))])]);
  return review;
}

/** Every mark counts in a review, also one without a cast: it was fished. */
function spotsOf(
  waypoints: readonly EnrichedWaypoint[],
  options: { readonly marks?: CsvFile; readonly cast: number },
  report: (diagnostic: Diagnostic) => void,
): readonly FishingSpot[] {
  const names = new Set(waypoints.map(({ waypoint }) => waypoint.name));
  const read = options.marks === undefined ? undefined : readMarkNotes(options.marks, names);
  read?.diagnostics.forEach(report);
  const notes = read?.notes ?? new Map();
  const { spots, leftOut } = spotsFromMarks(waypoints, notes, options.cast, 1);
  const bare = new Set(leftOut.map(({ name }) => name));
  return [...spots, ...waypoints.filter(({ waypoint }) => bare.has(waypoint.name)).map(bareSpot)];
}
