import {
  type Diagnostic,
  type DisplayUnits,
  type FieldDefinition,
  fromMeters,
  Refusal,
  STRUCTURE_WORDS,
  type Survey,
} from '../../shared/contract/index.ts';
import { gridRounds, LAKE_GRID, type LakeGrid } from '../../shared/lake/index.ts';
import { LEAST_SEPARATE, type Prospect, prospect } from '../../shared/prospect/index.ts';
import {
  marksUnsounded,
  nothingSounded,
  PROPOSED_TEXT,
  patternSentences,
  proposedText,
  showsNothing,
  tooFewPlaces,
} from '../../shared/text/index.ts';
import { numberWaypoints, readWaypointFiles, zoneOf } from '../engine/index.ts';
import { readInput, type TargetOptions } from '../files/index.ts';
import { readerOptions } from '../formats/csv/index.ts';
import {
  formatProposedGpx,
  type ProposedWaypoint,
  proposedAmong,
  proposedEntries,
  readGpx,
} from '../formats/gpx/index.ts';
import { bytesIfThere, openSecondLook, runGuarded, withThreads } from '../run/index.ts';
import { type CommandIo, createCommandIo, sayingAll } from './command-io.ts';
import { prospectOptions } from './core-options.ts';
import {
  checkOutputs,
  enrichedOutputs,
  type Output,
  type OutputValues,
  sideOutputs,
  writeOutputs,
} from './enrich-outputs.ts';
import { type Enrichment, reportInput } from './enrichment.ts';
import { generationOf, sayMixed } from './generation-of.ts';
import type { InputFiles } from './input-files.ts';
import { knownMarks } from './known-marks.ts';
import { onLake } from './lake.ts';
import { ledgerOf } from './ledger-of.ts';
import { pipelineJob } from './pipeline-job.ts';
import { planSurvey } from './plan.ts';
import type { Settled } from './settle.ts';

/** What proposed places carry besides the fields of a mark. */
const FIELDS: readonly (readonly [string, FieldDefinition])[] = [
  [
    'prospect.kind',
    { type: 'text', unit: 'none', help: 'What this is: no mark, but a place that was proposed.' },
  ],
  ['prospect.reason', { type: 'text', unit: 'none', help: 'What it shares with the marks that gave fish.' }],
  [
    'prospect.sure',
    {
      type: 'number',
      unit: 'ratio',
      decimals: 2,
      help: 'Share of the bottoms that the soundings allow on which it does so; no chance of fish.',
    },
  ],
];
/** What the places stand under in table and page. */
const TITLE = 'Proposed places';

/** Finds the pattern and the places, plans the casts of each as of a mark, and writes what was asked for. @returns Exit status 0. */
export async function prospectFiles(settled: Settled, files: InputFiles): Promise<number> {
  const io = createCommandIo(settled.inputs.json, settled.units);
  const values = settled.values('prospect', prospectOptions);
  const targets: TargetOptions = {
    force: values.force,
    inPlace: false,
    inputs: files.waypoints,
    sources: [...files.logs, ...files.tracks, ...(values.log ?? []), ...settled.sideFiles],
  };
  const outputValues = {
    ...values,
    out: values.gpx,
    inPlace: false,
    limits: undefined,
    unit: undefined,
    enriched: true,
    boat: undefined,
  };
  checkOutputs(values.gpx === undefined ? [] : [values.gpx], outputValues, targets, settled.pipeline);
  const { text, outputs, result } = await sayingAll(io, async () => {
    const ledger = ledgerOf(settled, files.waypoints, files.logs, io.say);
    const read = await readWaypointFiles(
      files.waypoints,
      readInput,
      settled.inputs.repair,
      {
        steps: settled.pipeline.reader,
        options: settled.values('reader', readerOptions),
        bytesIfThere,
      },
      io.say,
      ledger.given,
    );
    const proposed = proposedAmong(read.waypoints, ledger.given);
    const reader = settled.values('reader', readerOptions);
    const marks = await knownMarks(
      read.waypoints,
      proposed,
      {
        fish: values.fish,
        logs: values.log ?? [],
        date: settled.date,
        zone: zoneOf(reader.tz),
        dateOrder: reader.dateOrder === 'dmy' ? 'dmy' : 'mdy',
      },
      io.say,
    );
    const heard: Diagnostic[] = [];
    const hear = (diagnostic: Diagnostic): void => {
      heard.push(diagnostic);
      io.say(diagnostic);
    };
    const survey = await planSurvey(settled, files, { ...io, say: hear });
    const grid = await gridOf(survey, values, settled, files.logs, io);
    if (grid === undefined) throw new Refusal([nothingSounded('prospect')], 1);
    io.progress.show('Comparing places');
    const found = prospect(grid, marks, values);
    sayOutcome(found, io.say);
    const names = new Set(marks.map(({ name }) => name));
    const places = proposedWaypoints(found, names, settled.units);
    const planned = await planPlaces({ settled, files, survey, heard }, found, places, io);
    const outputs = await outputsOf(planned, outputValues, places, io);
    await writeOutputs(
      outputs,
      targets,
      generationOf('prospect', settled, files, { figures: values.svg }, io.say),
    );
    sayMixed(settled, files, io.say);
    if (values.gpx !== undefined) await ledger.add(planned.given);
    return { text: outcomeText(found, places, settled.units), outputs, result: planned.enrichment.result };
  });
  io.progress.clear();
  io.print(text);
  if (settled.inputs.quiet || settled.inputs.json) return 0;
  if (result.waypoints.length > 0) {
    const { formatSummary } = await import('./terminal-summary.ts');
    io.note(formatSummary(result.waypoints, settled.units, process.stderr.columns ?? 110));
  }
  for (const { path } of outputs) if (path !== '-' && !path.endsWith('.svg')) io.note(`wrote ${path}`);
  return 0;
}

/** The grid of the whole lake; undefined without soundings. */
async function gridOf(
  survey: Survey,
  values: { readonly cell: number; readonly reach: number },
  settled: Settled,
  logs: readonly string[],
  io: CommandIo,
): Promise<LakeGrid | undefined> {
  const job = await pipelineJob(settled, logs, undefined);
  const grid = { ...LAKE_GRID, cell: values.cell, reach: values.reach };
  return withThreads(job, (threads) => onLake(job, threads, io, (work) => work(gridRounds(survey, grid))));
}

/** Says why nothing is proposed, and which marks could not be used. */
function sayOutcome(
  { fish, separate, pattern, unsounded }: Prospect,
  say: (diagnostic: Diagnostic) => void,
): void {
  if (unsounded.length > 0) say(marksUnsounded(unsounded));
  if (pattern !== undefined) return;
  say(separate < LEAST_SEPARATE ? tooFewPlaces(fish, separate, LEAST_SEPARATE) : showsNothing(fish));
}

/** Proposed places with names that no mark has. */
function proposedWaypoints(
  { places, pattern }: Prospect,
  taken: ReadonlySet<string>,
  units: DisplayUnits,
): ProposedWaypoint[] {
  let number = 0;
  return places.map((place) => {
    do number++;
    while (taken.has(`N${number}`));
    const word = STRUCTURE_WORDS[place.word].replace('-', ' ');
    const description = proposedText({ ...place, word }, pattern?.rule.conditions, units);
    return { name: `N${number}`, lat: place.lat, lon: place.lon, description };
  });
}

/** The lake before its places, with what was said of the logs. */
interface Sounded {
  readonly settled: Settled;
  readonly files: InputFiles;
  readonly survey: Survey;
  readonly heard: readonly Diagnostic[];
}

interface Planned {
  readonly settled: Settled;
  readonly files: InputFiles;
  readonly enrichment: Enrichment;
  readonly given: ReturnType<typeof proposedEntries>;
}

/** The places through the pipeline of a mark, with what they are beside what was found about them. */
async function planPlaces(
  { settled, files, survey, heard }: Sounded,
  { places }: Prospect,
  proposed: readonly ProposedWaypoint[],
  io: CommandIo,
): Promise<Planned> {
  const document = readGpx(new TextEncoder().encode(formatProposedGpx(proposed)), TITLE);
  const waypoints = numberWaypoints([document]);
  const job = {
    ...(await pipelineJob(settled, files.logs, undefined)),
    waypoints,
    survey,
    keepInternals: true,
  };
  const hooks = { report: io.say, progress: io.progress.show };
  const result = await withThreads(job, (threads) => runGuarded(job, threads, hooks));
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
    settled: {
      ...settled,
      pipeline: { ...settled.pipeline, fields: [...settled.pipeline.fields, ...FIELDS] },
    },
    files,
    enrichment: {
      waypointFiles: { documents: [document], waypoints },
      ledger: { given: [], add: async () => {} },
      result: { ...result, waypoints: marked },
      diagnostics: heard,
    },
    given: proposedEntries(proposed),
  };
}

/** Every file that was asked for; boat positions given out are added to `planned.given`. */
async function outputsOf(
  planned: Planned,
  values: OutputValues,
  places: readonly ProposedWaypoint[],
  io: CommandIo,
): Promise<Output[]> {
  const { settled, enrichment } = planned;
  const side = await sideOutputs(settled, values, enrichment, reportInput(settled, enrichment), io);
  if (values.out === undefined || places.length === 0) return side;
  const path = values.out;
  return withThreads({ ...settled, logFiles: [] }, async (threads) => {
    const { lookAgain, accepted } = openSecondLook(threads);
    const made = await enrichedOutputs(settled, enrichment, [path], values, io.say, lookAgain);
    await accepted();
    planned.given.push(...made.given);
    return [...made.outputs, ...side];
  });
}

/** The pattern and the places for standard output. */
function outcomeText(
  { fish, blanks, asWell, pattern, places }: Prospect,
  proposed: readonly ProposedWaypoint[],
  units: DisplayUnits,
): string {
  const sentences =
    pattern === undefined
      ? []
      : patternSentences({ ...pattern, fish, blanks, asWell, conditions: pattern.rule.conditions }, units);
  const length = (meters: number): string => `${Math.round(fromMeters(meters, units))} ${units}`;
  const rows = proposed.map(({ name, lat, lon, description }, i) => {
    const why =
      pattern === undefined
        ? description.slice(PROPOSED_TEXT.length + 2)
        : `${places[i].isMet ? 'meets' : 'does not meet'} the pattern on ${Math.round(100 * places[i].sure)} % of the bottoms that your soundings allow`;
    return `${name.padEnd(4)} ${length(places[i].depth).padStart(6)}  ${lat.toFixed(5)}, ${lon.toFixed(5)}  ${STRUCTURE_WORDS[places[i].word].replace('-', ' ').padEnd(13)} ${why}`;
  });
  const head =
    pattern === undefined
      ? 'Structure by how sure it is, unranked: nobody has seen fish here, and nothing says where to begin.'
      : 'Places like it that you have not marked, most alike first. Nobody has seen fish there:';
  return [...sentences, ...(rows.length > 0 ? [head, ...rows] : []), ''].join('\n');
}
