import {
  type DepthRange,
  type DisplayUnits,
  type FieldDefinition,
  fromMeters,
  keptReport,
  type OptionValues,
  Refusal,
  type Report,
  STRUCTURE_WORDS,
  type Survey,
} from '../../shared/contract/index.ts';
import { placeNamed } from '../../shared/day/index.ts';
import { compassText, geodesicInverse } from '../../shared/geo/index.ts';
import { LAKE_GRID, type LakeModel, modelRounds, nextPasses } from '../../shared/lake/index.ts';
import { MIN_SEPARATE, type ProposedPlace, type Prospect, prospect } from '../../shared/prospect/index.ts';
import {
  distanceText,
  PROPOSED_TEXT,
  patternSentences,
  proposedComment,
  proposedText,
  prospectMessages as says,
  optionMessages as saysOfOption,
  sureText,
} from '../../shared/text/index.ts';
import { numberWaypoints, readWaypointFiles, reportFarInputs } from '../engine/index.ts';
import { readInput, type TargetOptions } from '../files/index.ts';
import {
  formatProposedGpx,
  type ProposedWaypoint,
  proposedAmong,
  proposedEntries,
  readGpx,
} from '../formats/gpx/index.ts';
import { bytesIfThere, runGuarded } from '../run/index.ts';
import { prospectOptions } from './command-options.ts';
import { checkOutputs, enrichedOutputs, sideOutputs } from './enrich-outputs.ts';
import type { Enrichment } from './enrichment.ts';
import { findInputs } from './input-files.ts';
import { knownMarks, leastOf } from './known-marks.ts';
import { onLake } from './lake.ts';
import { ledgerOf, noteWritten, reportStopped, writeOutputs } from './lake-records.ts';
import { passesGpx, passRows } from './lake-text.ts';
import { pipelineJob, runLogs } from './pipeline-job.ts';
import { MARK_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';
import { noteSpots } from './terminal-summary.ts';

const SHAPE = {
  name: 'prospect',
  summary:
    'Finds what your marks with fish have in common, and proposes unmarked places that your sonar covered and that look the same, with casts.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

/** Fields of proposed places in addition to those of a mark. */
const FIELDS: Readonly<Record<string, FieldDefinition>> = {
  'prospect.kind': { type: 'text', unit: 'none', help: 'Kind of waypoint: a proposed place, not a mark.' },
  'prospect.reason': {
    type: 'text',
    unit: 'none',
    help: 'Why the place is proposed: what it has in common with your marks with fish, or its structure.',
  },
  'prospect.sure': {
    type: 'number',
    unit: 'ratio',
    decimals: 2,
    help: 'How sure it is, from your depths, that the place fits the pattern (without a pattern, that it is such structure): share of the possible bottoms on which it does, 0 to 1. Not a chance of fish.',
  },
};
/** Heading of the places in the table and on the page. */
const TITLE = 'Proposed places';

export async function run(argv: readonly string[]): Promise<number> {
  const command = await resolveCommand(SHAPE, argv, MARK_STAGES);
  const { io, inputs, units } = command;
  const files = findInputs(command);
  if (files.logs.length === 0)
    throw new Refusal([saysOfOption['command-line nothing-sounded'](undefined, SHAPE.name)], 2);
  const values = command.values('prospect', prospectOptions);
  const targets: TargetOptions = {
    force: values.force,
    sources: [
      ...files.waypoints,
      ...files.logs,
      ...files.tracks,
      ...(values.log ?? []),
      ...command.sideFiles,
    ],
  };
  await reportStopped(command, files, targets);
  const gpxFiles = [values.gpx, values.passes].filter((path) => path !== undefined);
  checkOutputs(gpxFiles, values, targets, command.pipeline);
  const { text, outputs, enrichment } = await io.reportingAll(async () => {
    const ledger = ledgerOf(command, files, io.report);
    const { waypoints } = await readWaypointFiles(
      command,
      { waypoints: files.waypoints, read: readInput, bytesIfThere, given: ledger.given },
      io.report,
    );
    reportFarInputs(command.pipeline, waypoints, io.report);
    const proposed = proposedAmong(waypoints, ledger.given);
    const marks = await knownMarks(waypoints, proposed, command, values);
    const uncounted = marks.filter((mark, i) => mark.hasFish === undefined && !proposed.has(waypoints[i]));
    const ramp =
      values.ramp === undefined
        ? undefined
        : placeNamed('--ramp', values.ramp, 'the ramp', waypoints, (diagnostic) => {
            throw new Refusal([diagnostic], 2);
          });
    const { diagnostics, report } = keptReport(io.report);
    const { survey } = await runLogs(command, files, report);
    const grid = { ...LAKE_GRID, cell: values.cell, reach: values.reach };
    const lake = await onLake(command, files.logs, values.cell, (work) => work(modelRounds(survey, grid)));
    if (lake === undefined)
      throw new Refusal([saysOfOption['command-line nothing-sounded'](undefined, SHAPE.name)], 1);
    io.progress('Comparing places');
    const found = prospect(lake, marks, values);
    const moreThan = leastOf(values.fish);
    reportOutcome(found, values, uncounted.length, io.report);
    const places = proposedWaypoints(found, moreThan, new Set(marks.map(({ name }) => name)), units);
    const names = places.map(({ name }) => name);
    const planned = await planPlaces(command, files.logs, survey, lake, found, places);
    const enrichment = { ...planned, diagnostics };
    const passes = nextPasses(lake.grid, lake.lines, lake.areas, found.places);
    const outputs = await sideOutputs(values, enrichment);
    const given = proposedEntries(places);
    if (values.gpx !== undefined && places.length > 0) {
      const made = await enrichedOutputs(enrichment, [values.gpx], values);
      given.push(...made.given);
      outputs.unshift(...made.outputs);
    }
    if (values.passes !== undefined)
      outputs.push({ path: values.passes, content: passesGpx(passes, units, names) });
    await writeOutputs(command, files, outputs, targets, {
      figures: values.svg,
      first: async () => {
        if (values.gpx !== undefined) await ledger.add(given);
      },
    });
    const rows = found.places.length === 0 ? [] : passRows(passes, units, names);
    return { text: outcomeText(found, moreThan, places, ramp, command, rows), outputs, enrichment };
  });
  io.clearProgress();
  io.print(text);
  if (inputs.quiet || inputs.json) return 0;
  const { waypoints } = enrichment.result;
  if (waypoints.length > 0) noteSpots(command, waypoints);
  const paths = outputs.map(({ path }) => path);
  noteWritten(command, paths);
  return 0;
}

function reportOutcome(
  { fish, chanceTest: { separate }, pattern, unsounded }: Prospect,
  { any: isAny, fish: counting }: Pick<OptionValues<typeof prospectOptions>, 'any' | 'fish'>,
  uncounted: number,
  report: Report,
): void {
  if (unsounded.length > 0) report(says.unsounded(undefined, unsounded));
  if (pattern !== undefined) return;
  const moreThan = leastOf(counting);
  const leftAside = counting === 'auto' ? uncounted : 0;
  report(
    separate < MIN_SEPARATE
      ? says['too-few'](undefined, fish.length, separate, MIN_SEPARATE, isAny, moreThan, leftAside)
      : says['no-pattern'](undefined, fish.length, isAny, moreThan),
  );
}

function proposedWaypoints(
  found: Prospect,
  moreThan: number,
  taken: ReadonlySet<string>,
  units: DisplayUnits,
): ProposedWaypoint[] {
  const counted = countedOf(found, moreThan);
  let number = 0;
  return found.places.map((place) => {
    do number++;
    while (taken.has(`N${number}`));
    const marks = place.alike.map((i) => found.fish[i]);
    const text = {
      ...place,
      word: wordOf(place),
      alike: marks.map(({ name }) => name),
      fish: meanBand(marks.flatMap(({ fishDepth }) => fishDepth ?? [])),
    };
    return {
      name: `N${number}`,
      lat: place.lat,
      lon: place.lon,
      comment: proposedComment(text, units),
      description: proposedText(text, counted, units),
    };
  });
}

const wordOf = ({ word }: ProposedPlace): string => STRUCTURE_WORDS[word].replace('-', ' ');

const countedOf = ({ pattern, fish, blanks }: Prospect, moreThan: number) =>
  pattern && { ...pattern, conditions: pattern.rule.conditions, fish: fish.length, blanks, moreThan };

function meanBand(bands: readonly DepthRange[]): DepthRange | undefined {
  if (bands.length === 0) return undefined;
  const mean = (of: (band: DepthRange) => number): number =>
    bands.reduce((sum, band) => sum + of(band), 0) / bands.length;
  return { top: mean(({ top }) => top), bottom: mean(({ bottom }) => bottom) };
}

async function planPlaces(
  command: ResolvedCommand,
  logs: readonly string[],
  survey: Survey,
  lake: LakeModel,
  { places }: Prospect,
  proposed: readonly ProposedWaypoint[],
): Promise<Omit<Enrichment, 'diagnostics'>> {
  const { pipeline, io } = command;
  const document = readGpx(new TextEncoder().encode(formatProposedGpx(proposed)), TITLE);
  const waypoints = numberWaypoints([document]);
  const job = { ...pipelineJob(command, logs), waypoints, survey, keepInternals: true };
  const result = await runGuarded(job, io);
  const marked = result.waypoints.map((enriched) => {
    const at = enriched.waypoint.fileIndex;
    const own = {
      'prospect.kind': PROPOSED_TEXT,
      'prospect.reason': proposed[at].description,
      'prospect.sure': places[at].sure,
    };
    return { ...enriched, fields: { ...enriched.fields, ...own } };
  });
  const fields = [...pipeline.fields, ...Object.entries(FIELDS)];
  return {
    command: { ...command, pipeline: { ...pipeline, fields } },
    waypointFiles: { documents: [document], waypoints },
    result: { ...result, waypoints: marked, lake },
  };
}

type Ramp = NonNullable<ReturnType<typeof placeNamed>>;

function outcomeText(
  found: Prospect,
  moreThan: number,
  proposed: readonly ProposedWaypoint[],
  ramp: Ramp | undefined,
  { units, date }: Pick<ResolvedCommand, 'units' | 'date'>,
  passes: readonly string[],
): string {
  const { pattern, places, fish, chanceTest } = found;
  const counted = countedOf(found, moreThan);
  const rows = proposed.map(({ name, lat, lon }, i) => {
    const { depth, isMet, sure, alike } = places[i];
    const like = `like ${alike.map((mark) => fish[mark].name).join(', ')}`;
    const why =
      pattern === undefined
        ? sureText(sure)
        : isMet
          ? `${like}; fits the pattern ${sureText(sure)}`
          : `${like}; similar in other ways, but does not fit the pattern`;
    const away = ramp === undefined ? '' : `  ${wayFrom(ramp, lat, lon, units, date)}`;
    const at = `${lat.toFixed(5)}, ${lon.toFixed(5)}`;
    return `${name.padEnd(4)}${`${Math.round(fromMeters(depth, units))} ${units}`.padStart(7)}  ${at}  ${wordOf(places[i]).padEnd(13)} ${why}${away}`;
  });
  const head =
    pattern === undefined
      ? 'Structure, surest first. These places were not compared with marks, and nothing says which has fish.'
      : 'Similar places that you have not marked, most similar first:';
  return [
    ...(counted === undefined ? [] : patternSentences({ ...counted, asWell: chanceTest.asWell }, units)),
    ...(rows.length > 0 ? [head, ...rows] : []),
    ...passes,
    '',
  ].join('\n');
}

function wayFrom(ramp: Ramp, lat: number, lon: number, units: DisplayUnits, date: string): string {
  const { distance, bearing } = geodesicInverse(ramp.lat, ramp.lon, lat, lon);
  return `${distanceText(distance, units, 0)} at ${compassText(bearing, ramp.lat, ramp.lon, date)} from ${ramp.name}`;
}
