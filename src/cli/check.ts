import { type Diagnostic, defaultsOf, inUnits, Refusal, type Report } from '../../shared/contract/index.ts';
import { type Given, isInLog, resolveSettings } from '../../shared/engine/index.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import { optionMessages as says, commandMessages as saysOfCommand } from '../../shared/text/index.ts';
import { checkReport, enrichLake, leftOutLines, settingsOfLogs } from '../engine/index.ts';
import { checkTargets } from '../files/index.ts';
import { defaultReaderOptions, KNOWN_NAMES, type ReaderOptions } from '../formats/csv/index.ts';
import { type PipelineJob, runGuarded } from '../run/index.ts';
import { HELP_FOOTER } from './cautions.ts';
import { type CommandIo, createCommandIo, reportingAll } from './command-io.ts';
import { checkOptions } from './core-options.ts';
import { writeOutputs } from './enrich-outputs.ts';
import { expandPaths } from './expand-paths.ts';
import { filesOnDisk, findLogs } from './input-files.ts';
import { ledgerOf, lockOnly } from './lake-records.ts';
import { logSettings } from './log-settings.ts';
import { pipelineJob } from './pipeline-job.ts';
import { createPrompt } from './prompt.ts';
import { readConfig } from './read-config.ts';
import { fittingPart, type RepairedLog, repairLogs } from './repair-logs.ts';
import { LOG_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';
import { saveLogSettings } from './save-log-settings.ts';

const SHAPE = {
  name: 'check',
  summary:
    'Reports what was read and dropped, how passes agree, and how well each waypoint is covered; writes nothing but --passes and --save.',
  argument: { name: '[waypoints...]', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
  footer: `Columns of a log that are recognized by name, with any spacing and with or without a unit:
${Object.entries(KNOWN_NAMES)
  .map(([what, names]) => `  ${what.padEnd(12)}${names.join(', ')}`)
  .join('\n')}

${HELP_FOOTER}`,
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const resolved = await resolveCommand(SHAPE, argv, LOG_STAGES);
  if (resolved.positionals.length === 0 && (resolved.inputs.soundings ?? []).length === 0)
    throw new Refusal([says['command-line nothing-to-check'](undefined)], 2);
  const io = createCommandIo(resolved.inputs.json, resolved.units);
  const options = resolved.values('check', checkOptions);
  const files = expandPaths(resolved.positionals, ['.gpx']);
  const trackFiles = expandPaths(resolved.inputs.tracks ?? [], ['.gpx']);
  const logFiles = findLogs(resolved);
  const targets = {
    force: options.force,
    sources: [...files, ...logFiles, ...trackFiles, ...resolved.sideFiles],
  };
  if (options.passes !== undefined) checkTargets([options.passes], targets);
  const lake: Lake = { resolved, files, trackFiles, logFiles, io };
  const kept = options.save ? await keepSettings(lake, options.force) : undefined;
  const { job, diagnostics, read, refusal } = await reportingAll(io, () =>
    readLake(lake, (diagnostic) => io.report(diagnostic), kept),
  );
  const faults = await repairLogs(job, diagnostics, resolved.units, async () => undefined);
  const byFile = new Map(faults.map(({ file, faults: own }) => [file, own]));
  const printJson = (logs: readonly object[], leftOut: readonly string[], marks: unknown, passes: unknown) =>
    io.print(`${JSON.stringify({ logs, leftOut, faults: faults.map(asJson), marks, passes })}\n`);
  if (read === undefined) {
    if (resolved.inputs.json) printJson([], logFiles, [], []);
    else if (faults.length > 0)
      io.print(`${leftOutLines(logFiles, diagnostics, byFile, resolved.units).join('\n')}\n`);
    throw refusal;
  }
  const { waypointFiles, result } = read;
  const { survey } = result;
  const leftOut = [...result.leftOut, ...leftOutInside(logFiles, result.leftOut, diagnostics)];
  const checked = checkReport({
    survey,
    index: indexSurvey(survey),
    waypoints: waypointFiles.waypoints,
    diagnostics,
    leftOut,
    faults: byFile,
    passedOver: passedOver(resolved, [...files, ...trackFiles, ...logFiles]),
    units: resolved.units,
  });
  if (resolved.inputs.json) printJson(survey.logs, leftOut, checked.marks, checked.passes);
  else io.print(checked.text.endsWith('\n') ? checked.text : `${checked.text}\n`);
  if (options.passes !== undefined) {
    const output = { path: options.passes, content: checked.routes };
    await writeOutputs([output], targets, lockOnly({ logs: logFiles, waypoints: files }));
  }
  return diagnostics.some(({ severity }) => severity === 'error') ? 1 : 0;
}

/** Files that accompany a log. */
const BESIDE = /\.(?:yaml|dbf|prj|shx|cpg)$/i;

/** Files in log folders that no reader takes. */
function passedOver({ inputs }: ResolvedCommand, read: readonly string[]): string[] {
  return expandPaths(inputs.soundings ?? [], ['']).filter(
    (file) => !read.includes(file) && !BESIDE.test(file),
  );
}

/** Files inside the logs that were refused while others in the same log were read. */
function leftOutInside(
  logs: readonly string[],
  leftOut: readonly string[],
  diagnostics: readonly Diagnostic[],
): string[] {
  const read = logs.filter((log) => !leftOut.includes(log));
  const refused = diagnostics.flatMap(({ severity, place }) =>
    severity === 'error' && place?.file !== undefined ? place.file : [],
  );
  return [...new Set(refused)].filter((file) => read.some((log) => file !== log && isInLog(file, log)));
}

const asJson = ({ file, faults }: RepairedLog) => ({
  file,
  faults: faults.map(({ code, message, repair }) => ({ code, message: inUnits(message, 'm'), ...repair })),
});

interface Lake {
  readonly resolved: ResolvedCommand;
  readonly files: readonly string[];
  readonly trackFiles: readonly string[];
  readonly logFiles: readonly string[];
  readonly io: CommandIo;
}

/**
 * Reads waypoints and logs. When no log could be read, `read` is undefined and `refusal` gives the reason.
 *
 * @param kept Changes to how the command line says logs are read.
 */
async function readLake(
  { resolved, files, trackFiles, logFiles, io }: Lake,
  report: Report,
  kept: Partial<PipelineJob> = {},
) {
  const diagnostics: Diagnostic[] = [];
  const collect = (diagnostic: Diagnostic): void => {
    diagnostics.push(diagnostic);
    report(diagnostic);
  };
  const hooks = { report: collect, progress: io.progress.show };
  let job: PipelineJob | undefined;
  const reading = enrichLake(
    resolved,
    {
      ...filesOnDisk(resolved, { waypoints: files, tracks: trackFiles }),
      given: ledgerOf(resolved, { logs: logFiles, waypoints: files }, () => {}).given,
      async runStages(waypoints, fixes) {
        const made = { ...pipelineJob(resolved, logFiles, fixes), waypoints, useStore: false };
        job = { ...made, ...kept, readerOptions: { ...made.readerOptions, ...kept.readerOptions } };
        return runGuarded(job, hooks);
      },
    },
    collect,
  );
  try {
    return { read: await reading, job: job!, diagnostics };
  } catch (cause) {
    // Faults of an input that is not a log are reported unchanged.
    if (!(cause instanceof Refusal) || job === undefined) throw cause;
    return { job, diagnostics: [...diagnostics, ...cause.diagnostics], refusal: cause };
  }
}

/**
 * With `--save`, stores for each log the settings that repair it, and for all logs the other log options on the
 * command line.
 *
 * A value that a log needs and that is certain is used directly. Other values come from the command line or from a
 * question to the user.
 *
 * @returns How logs are read from now on.
 */
async function keepSettings(lake: Lake, force: boolean): Promise<Partial<PipelineJob>> {
  const { resolved, logFiles, io } = lake;
  const known = settingsOfLogs(resolved.pipeline.log);
  const isTyped = ({ flag, wording }: Given): boolean => wording.startsWith('--') && known.has(flag);
  const typed = resolved.given.filter(isTyped);
  const given = resolved.given.filter((one) => known.has(one.flag) && !isTyped(one));
  const own = resolveSettings(known, given, resolved.units, '');
  const readerOptions = defaultReaderOptions(own.get('reader') as Partial<ReaderOptions>);
  const log = resolved.pipeline.log.map((step) => ({
    ...step,
    options: { ...defaultsOf(step.plugin.options), ...own.get(step.plugin.name) },
  }));
  const pipeline = { ...resolved.pipeline, log };
  const { diagnostics, job } = await readLake(lake, () => {}, { readerOptions, pipeline });
  const used = new Set<string>();
  const asked = createPrompt(resolved, known, io.note);
  const repaired = await repairLogs(job, diagnostics, resolved.units, async (file, fault, repair) => {
    const texts = typed.filter(({ flag }) => flag === repair.setting).flatMap((one) => one.texts);
    const fitting = texts.length === 0 ? undefined : fittingPart(texts, repair);
    if (fitting === undefined) return asked.ask(file, fault, repair);
    used.add(repair.setting);
    return fitting;
  });
  asked.close();
  const others = typed.filter(({ flag }) => !used.has(flag));
  const kept = [
    ...repaired.map(({ log, file, settings = [] }) => ({ log, file, settings })),
    ...logFiles.filter((name) => name !== '-').map((log) => ({ log, file: log, settings: others })),
  ].filter(({ settings }) => settings.length > 0);
  if (kept.length === 0 && repaired.length === 0)
    throw new Refusal([saysOfCommand['nothing-to-save'](undefined)], 2);
  const saved = await lockOnly({ logs: logFiles, waypoints: [] }).withLock(() =>
    saveLogSettings(resolved, kept, force),
  );
  for (const file of saved) io.note(`wrote ${file}`);
  const { config } = resolved.inputs;
  const logSets = config === undefined ? resolved.logSets : readConfig(config).sets.logs;
  return { readerOptions, pipeline, logOptions: logSettings(logFiles, { ...resolved, logSets }) };
}
