import { keptReport, type Plugin, type ReadSoundings, Refusal } from '../../shared/contract/index.ts';
import {
  type CheckAnswer,
  type CheckRequest,
  type EnrichAnswer,
  type EnrichRequest,
  type InputFile,
  type InputSoundings,
  type InputWaypoints,
  type LakeAnswer,
  type LakeRequest,
  needsInternals,
  type PlanAnswer,
  type PlanRequest,
  type ProgramHooks,
  type ResolvedRun,
  runWriters,
  writerPositions,
} from '../../shared/engine/index.ts';
import { inputMessages as says } from '../../shared/text/index.ts';
import { formatPlanCsv, formatPlanGpx, formatPlanText, planOptions } from '../day/index.ts';
import { type Fixes, memorySource, readerOptions } from '../formats/csv/index.ts';
import { commentOptions } from '../formats/gpx/index.ts';
import { formatTable, tableOptions } from '../formats/table/index.ts';
import { gpxOf, type OpenLog, siblingsOf } from '../run/index.ts';
import { checkReport } from './check-report.ts';
import { type EnrichedLake, enrichLake } from './enrich-lake.ts';
import { pause, runStagesInline } from './inline-stages.ts';
import { planLake } from './plan-lake.ts';
import { inputNamed, optionsOfLogs, resolveRequest } from './resolve-request.ts';
import { additionStyle, enrichedGpx } from './waypoint-files.ts';

/** `src/package.ts` documents `enrich`, `check` and `plan`. */
export async function enrich(request: EnrichRequest, hooks: ProgramHooks = {}): Promise<EnrichAnswer> {
  const call = openCall(hooks);
  const run = await resolveRequest(request, ({ stage }) => stage !== 'plan');
  const { waypoints } = request;
  const keepInternals = request.keepInternals === true || needsInternals(run.pipeline);
  const lake = await lakeOfCall(run, request, waypoints, keepInternals, call);
  if (lake.waypointFiles.waypoints.length === 0)
    call.report(says['no-waypoints'](undefined, waypoints.length));
  const output = run.values('output', { ...commentOptions, ...tableOptions });
  const { documents } = lake.waypointFiles;
  const { waypoints: spots, survey } = lake.result;
  const { pipeline, units } = run;
  const { fields } = pipeline;
  const finished = { waypoints: spots, survey, fields, units };
  const positions = await writerPositions(pipeline, () => finished, call.report);
  const made = enrichedGpx(run, documents, spots, additionStyle(run, output), positions, call.report);
  const { lakeGeoJson } = await import('../formats/geojson/geojson.ts');
  const { lakeSpot } = await import('../formats/geojson/lake-spots.ts');
  const places = spots.map((spot) => lakeSpot(spot, fields, units));
  const geojson = lakeGeoJson(documents, places);
  geojson.diagnostics.forEach(call.report);
  const written = await runWriters(pipeline, finished, call.report);
  return {
    ...answerOf(run, lake, call),
    files: written.map(({ folder, name, bytes }) => ({ name: `${folder}/${name}`, bytes })),
    spots,
    fields,
    gpx: made.flatMap(({ parts }, at) =>
      parts.map(({ suffix, bytes }) => ({ name: enrichedName(documents[at].file, suffix), bytes })),
    ),
    table: formatTable(spots, fields, units, output.cellGuard),
    geojson: geojson.text,
  };
}

export async function check(request: CheckRequest, hooks: ProgramHooks = {}): Promise<CheckAnswer> {
  const call = openCall(hooks);
  const run = await resolveRequest(request, isBeforeWaypoints);
  const lake = await lakeOfCall(run, request, request.waypoints ?? [], false, call);
  const { survey, leftOut } = lake.result;
  const { waypoints } = lake.waypointFiles;
  const input = {
    survey,
    waypoints,
    diagnostics: call.diagnostics,
    leftOut,
    units: run.units,
    date: run.date,
  };
  return { ...answerOf(run, lake, call), ...checkReport(input) };
}

export async function plan(request: PlanRequest, hooks: ProgramHooks = {}): Promise<PlanAnswer> {
  const call = openCall(hooks);
  const isStep = (plugin: Plugin): boolean => isBeforeWaypoints(plugin) || plugin.stage === 'plan';
  const run = await resolveRequest(request, isStep, [{ owner: 'plan', options: planOptions }]);
  const lake = await lakeOfCall(run, request, [], false, call);
  const [first] = request.lake;
  const isSpots = first !== undefined && 'fields' in first;
  const files = isSpots ? [] : (request.lake as readonly InputFile[]);
  const { plan: made } = await planLake(
    run,
    {
      lake: isSpots ? (request.lake as never) : files.map(({ name }) => name),
      log: (request.log ?? []).map(({ name }) => name),
      read: readerOf([...files, ...(request.log ?? [])]),
      survey: lake.result.survey,
    },
    { report: call.report, progress: (share) => call.progress('Putting stops in order', share) },
  );
  await pause(hooks.signal);
  const { routePoints } = run.values('plan', planOptions);
  return {
    ...answerOf(run, lake, call),
    plan: made,
    text: formatPlanText(made, run.units),
    csv: formatPlanCsv(made, run.units, true),
    gpx: formatPlanGpx(made, run.units, routePoints),
  };
}

const isBeforeWaypoints = ({ stage }: Plugin): boolean =>
  stage === 'reader' || stage === 'log' || stage === 'survey';

type Call = ReturnType<typeof openCall>;

function openCall({ report, progress = () => {}, signal }: ProgramHooks) {
  signal?.throwIfAborted();
  return { ...keptReport(report), progress, signal };
}

const answerOf = (run: ResolvedRun, { result }: EnrichedLake, { diagnostics }: Call): LakeAnswer => ({
  survey: result.survey,
  leftOut: result.leftOut,
  messages: [...diagnostics, ...result.waypoints.flatMap(({ diagnostics }) => diagnostics)],
  units: run.units,
  date: run.date,
});

function lakeOfCall(
  run: ResolvedRun,
  request: LakeRequest,
  waypoints: readonly (InputFile | InputWaypoints)[],
  keepInternals: boolean,
  call: Call,
): Promise<EnrichedLake> {
  const { soundings = [], tracks = [], files = [] } = request;
  checkNames([waypoints, soundings, tracks]);
  const all = [...soundings.filter((input) => 'bytes' in input), ...files];
  const bytesIfThere = async (path: string) => all.find(({ name }) => name === path)?.bytes;
  const open: OpenLog = async (log) => {
    const input = soundings.find(({ name }) => name === log)!;
    const content = 'bytes' in input ? memorySource(log, input.bytes) : columnsOf(input);
    return { content, sibling: siblingsOf(log, bytesIfThere), isAlone: () => true };
  };
  const now = Date.now() / 1000;
  return enrichLake(
    run,
    {
      waypoints: waypoints.map(({ name }) => name),
      tracks: tracks.map(({ name }) => name),
      read: readerOf(waypoints),
      bytesIfThere,
      openTrack: async (track) => memorySource(track, readerOf(tracks)(track)),
      given: [],
      runStages: (marks, fixes: Fixes | undefined) =>
        runStagesInline(
          {
            pipeline: run.pipeline,
            logs: soundings.map(({ name }) => name),
            open,
            readerOptions: { ...run.values('reader', readerOptions), now, fixes },
            logOptions: optionsOfLogs(request, run),
            waypoints: marks,
            keepInternals,
            signal: call.signal,
          },
          call,
        ),
    },
    call.report,
  );
}

const columnsOf = ({ name: _name, ...columns }: InputSoundings): ReadSoundings => columns;

const readerOf =
  (inputs: readonly (InputFile | InputWaypoints)[]) =>
  (name: string): Uint8Array => {
    const input = inputNamed(inputs, name);
    return 'bytes' in input ? input.bytes : gpxOf(input.waypoints);
  };

/** Refuses inputs of one kind with the same name, since messages and settings could not tell them apart. */
function checkNames(kinds: readonly (readonly { readonly name: string }[])[]): void {
  for (const inputs of kinds) {
    const names = inputs.map(({ name }) => name);
    const twice = names.find((name, at) => names.indexOf(name) !== at);
    if (twice !== undefined) throw new Refusal([says.twice(undefined, twice)], 2);
  }
}

function enrichedName(file: string, suffix: string): string {
  const [, stem, extension = ''] = /^(.+?)(\.[^./\\]*)?$/.exec(file) ?? [file, file];
  return `${stem}.enriched${suffix}${/^\.(?:gpx|xml)$/i.test(extension) ? extension : '.gpx'}`;
}
