import {
  type DepthRange,
  type Diagnostic,
  type DisplayUnits,
  type FieldDefinition,
  fromMeters,
  Refusal,
  type Report,
  STRUCTURE_WORDS,
  type Survey,
} from '../../shared/contract/index.ts';
import { placeNamed } from '../../shared/day/index.ts';
import { geodesicInverse } from '../../shared/geo/index.ts';
import { LAKE_GRID, type LakeModel, modelRounds, nextPasses } from '../../shared/lake/index.ts';
import { MIN_SEPARATE, type ProposedPlace, type Prospect, prospect } from '../../shared/prospect/index.ts';
import {
  bearingText,
  PROPOSED_TEXT,
  patternSentences,
  proposedComment,
  proposedText,
  prospectMessages as says,
  optionMessages as saysOfOption,
} from '../../shared/text/index.ts';
import { numberWaypoints, readWaypointFiles } from '../engine/index.ts';
import { readInput, type TargetOptions } from '../files/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import {
  formatProposedGpx,
  type ProposedWaypoint,
  proposedAmong,
  proposedEntries,
  readGpx,
} from '../formats/gpx/index.ts';
import { bytesIfThere, runGuarded } from '../run/index.ts';
import { type CommandIo, createCommandIo, reportingAll } from './command-io.ts';
import { prospectOptions } from './core-options.ts';
import {
  checkOutputs,
  enrichedOutputs,
  type Output,
  type OutputValues,
  sideOutputs,
  writeOutputs,
} from './enrich-outputs.ts';
import { findInputs } from './input-files.ts';
import { knownMarks } from './known-marks.ts';
import { onLake } from './lake.ts';
import { generationOf, ledgerOf, reportMixed } from './lake-records.ts';
import { longText, passesGpx, passRows } from './lake-text.ts';
import { pipelineJob } from './pipeline-job.ts';
import { planSurvey } from './plan.ts';
import { MARK_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'prospect',
  summary:
    'Finds what your marks with fish have in common, and unmarked places on sounded water that look the same, with casts.',
  argument: { name: '<waypoints...>', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
} as const;

/** Fields of proposed places in addition to those of a mark. */
const FIELDS: Readonly<Record<string, FieldDefinition>> = {
  'prospect.kind': { type: 'text', unit: 'none', help: 'Kind of waypoint: a proposed place, not a mark.' },
  'prospect.reason': { type: 'text', unit: 'none', help: 'What it has in common with the marks with fish.' },
  'prospect.sure': {
    type: 'number',
    unit: 'ratio',
    decimals: 2,
    help: 'Share of the bottoms that fit the soundings on which it does so; not a chance of fish.',
  },
};
/** Heading of the places in the table and on the page. */
const TITLE = 'Proposed places';

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, MARK_STAGES);
  const files = findInputs(resolved);
  if (files.logs.length === 0)
    throw new Refusal([saysOfOption['command-line nothing-sounded'](undefined, SHAPE.name)], 2);
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const values = resolved.values('prospect', prospectOptions);
  const targets: TargetOptions = {
    force: values.force,
    inputs: files.waypoints,
    sources: [...files.logs, ...files.tracks, ...(values.log ?? []), ...resolved.sideFiles],
  };
  const outputValues = {
    ...values,
    out: values.gpx,
    inPlace: false,
    limits: undefined,
    unit: undefined,
    enriched: true,
  };
  const gpxFiles = [values.gpx, values.passes].filter((path) => path !== undefined);
  checkOutputs(gpxFiles, outputValues, targets, resolved.pipeline);
  const { text, outputs, result } = await reportingAll(io, async () => {
    const reader = resolved.values('reader', readerOptions);
    const ledger = ledgerOf(resolved, files, io.report);
    const read = await readWaypointFiles(
      files.waypoints,
      readInput,
      resolved.inputs.repair,
      { steps: resolved.pipeline.reader, options: reader, bytesIfThere },
      io.report,
      ledger.given,
    );
    const proposed = proposedAmong(read.waypoints, ledger.given);
    const marks = await knownMarks(read.waypoints, proposed, resolved, values, io.report);
    const ramp =
      values.ramp === undefined
        ? undefined
        : placeNamed('--ramp', values.ramp, 'the ramp', read.waypoints, (diagnostic) => {
            throw new Refusal([diagnostic], 2);
          });
    const heard: Diagnostic[] = [];
    const hear = (diagnostic: Diagnostic): void => {
      heard.push(diagnostic);
      io.report(diagnostic);
    };
    const survey = await planSurvey(resolved, files, { ...io, report: hear });
    const job = pipelineJob(resolved, files.logs, undefined);
    const grid = { ...LAKE_GRID, cell: values.cell, reach: values.reach };
    const lake = await onLake(job, io, (work) => work(modelRounds(survey, grid)));
    if (lake === undefined)
      throw new Refusal([saysOfOption['command-line nothing-sounded'](undefined, 'prospect')], 1);
    io.progress.show('Comparing places');
    const found = prospect(lake, marks, values);
    reportOutcome(found, io.report);
    const names = new Set(marks.map(({ name }) => name));
    const places = proposedWaypoints(found, names, resolved.units);
    const planned = await planPlaces(
      resolved,
      files.logs,
      { survey, lake, diagnostics: heard },
      found,
      places,
      io,
    );
    const passes = nextPasses(lake.grid, lake.lines, lake.areas, found.places);
    const outputs = await outputsOf(planned, outputValues, places, io);
    if (values.passes !== undefined) {
      outputs.push({ path: values.passes, content: passesGpx(passes, resolved.units, namesOf(places)) });
    }
    await writeOutputs(
      outputs,
      targets,
      generationOf('prospect', resolved, files, { figures: values.svg }, io.report),
      async () => {
        if (values.gpx !== undefined) await ledger.add(planned.given);
      },
    );
    reportMixed(resolved, files, io.report);
    const rows = found.places.length === 0 ? [] : passRows(passes, resolved.units, namesOf(places));
    const text = outcomeText(found, places, ramp, resolved.units, rows);
    return { text, outputs, result: planned.enrichment.result };
  });
  io.progress.clear();
  io.print(text);
  if (resolved.inputs.quiet || resolved.inputs.json) return 0;
  if (result.waypoints.length > 0) {
    const { formatSummary } = await import('./terminal-summary.ts');
    io.note(formatSummary(result.waypoints, resolved.units, process.stderr.columns ?? 110));
  }
  for (const { path } of outputs) if (path !== '-' && !path.endsWith('.svg')) io.note(`wrote ${path}`);
  return 0;
}

function reportOutcome(
  { fish, chanceTest: { separate }, pattern, unsounded }: Prospect,
  report: Report,
): void {
  if (unsounded.length > 0) report(says.unsounded(undefined, unsounded));
  if (pattern !== undefined) return;
  report(
    separate < MIN_SEPARATE
      ? says['too-few'](undefined, fish.length, separate, MIN_SEPARATE)
      : says['no-pattern'](undefined, fish.length),
  );
}

/** Proposed places with names that no mark has. */
function proposedWaypoints(
  found: Prospect,
  taken: ReadonlySet<string>,
  units: DisplayUnits,
): ProposedWaypoint[] {
  const counted = countedOf(found);
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
const namesOf = (places: readonly ProposedWaypoint[]): string[] => places.map(({ name }) => name);

/** Counts behind a pattern; undefined without a pattern. */
const countedOf = ({ pattern, fish, blanks }: Prospect) =>
  pattern && { ...pattern, conditions: pattern.rule.conditions, fish: fish.length, blanks };

function meanBand(bands: readonly DepthRange[]): DepthRange | undefined {
  if (bands.length === 0) return undefined;
  const mean = (of: (band: DepthRange) => number): number =>
    bands.reduce((sum, band) => sum + of(band), 0) / bands.length;
  return { top: mean(({ top }) => top), bottom: mean(({ bottom }) => bottom) };
}

/** The sounded lake before places are proposed, with the diagnostics of its logs. */
interface Sounded {
  readonly survey: Survey;
  readonly lake: LakeModel;
  readonly diagnostics: readonly Diagnostic[];
}

/** Runs the places through the pipeline for marks, and adds the fields of a proposed place to the results. */
async function planPlaces(
  resolved: ResolvedCommand,
  logs: readonly string[],
  { survey, lake, diagnostics }: Sounded,
  { places }: Prospect,
  proposed: readonly ProposedWaypoint[],
  io: CommandIo,
) {
  const { pipeline } = resolved;
  const document = readGpx(new TextEncoder().encode(formatProposedGpx(proposed)), TITLE);
  const waypoints = numberWaypoints([document]);
  const job = {
    ...pipelineJob(resolved, logs, undefined),
    waypoints,
    survey,
    keepInternals: true,
  };
  const hooks = { report: io.report, progress: io.progress.show };
  const result = await runGuarded(job, hooks);
  const marked = result.waypoints.map((enriched) => {
    const at = enriched.waypoint.fileIndex;
    const own = {
      'prospect.kind': PROPOSED_TEXT,
      'prospect.reason': proposed[at].description,
      'prospect.sure': places[at].sure,
    };
    return { ...enriched, fields: { ...enriched.fields, ...own } };
  });
  return {
    enrichment: {
      resolved: {
        ...resolved,
        pipeline: { ...pipeline, fields: [...pipeline.fields, ...Object.entries(FIELDS)] },
      },
      waypointFiles: { documents: [document], waypoints },
      ledger: { given: [], add: async () => {} },
      result: { ...result, waypoints: marked, lake },
      diagnostics,
    },
    given: proposedEntries(proposed),
  };
}

/** Every requested file. Boat positions written are added to `given`. */
async function outputsOf(
  { enrichment, given }: Awaited<ReturnType<typeof planPlaces>>,
  values: OutputValues,
  places: readonly ProposedWaypoint[],
  io: CommandIo,
): Promise<Output[]> {
  const side = await sideOutputs(values, enrichment, io);
  if (values.out === undefined || places.length === 0) return side;
  const made = await enrichedOutputs(enrichment, [values.out], values, io.report);
  given.push(...made.given);
  return [...made.outputs, ...side];
}

function outcomeText(
  found: Prospect,
  proposed: readonly ProposedWaypoint[],
  ramp: { readonly name: string; readonly lat: number; readonly lon: number } | undefined,
  units: DisplayUnits,
  passes: readonly string[],
): string {
  const { pattern, places, fish, chanceTest } = found;
  const counted = countedOf(found);
  const rows = proposed.map(({ name, lat, lon }, i) => {
    const { depth, isMet, sure, alike } = places[i];
    const on = `on ${Math.round(100 * sure)} % of the bottoms that fit your soundings`;
    const like = `like ${alike.map((mark) => fish[mark].name).join(', ')}`;
    const why =
      pattern === undefined
        ? on
        : isMet
          ? `${like}; meets it ${on}`
          : `${like}; similar in other ways, but does not meet it`;
    const away = ramp === undefined ? '' : `  ${wayFrom(ramp, lat, lon, units)}`;
    const at = `${lat.toFixed(5)}, ${lon.toFixed(5)}`;
    return `${name.padEnd(4)}${`${Math.round(fromMeters(depth, units))} ${units}`.padStart(7)}  ${at}  ${wordOf(places[i]).padEnd(13)} ${why}${away}`;
  });
  const head =
    pattern === undefined
      ? 'Structure, surest first. Nobody has seen fish here, and nothing says where to begin.'
      : 'Similar places that you have not marked, most similar first. Nobody has fished there:';
  return [
    ...(counted === undefined ? [] : patternSentences({ ...counted, asWell: chanceTest.asWell }, units)),
    ...(rows.length > 0 ? [head, ...rows] : []),
    ...passes,
    '',
  ].join('\n');
}

function wayFrom(
  ramp: { readonly name: string; readonly lat: number; readonly lon: number },
  lat: number,
  lon: number,
  units: DisplayUnits,
): string {
  const { distance, bearing } = geodesicInverse(ramp.lat, ramp.lon, lat, lon);
  return `${longText(distance, units)} at ${bearingText(bearing, 'T')} from ${ramp.name}`;
}
