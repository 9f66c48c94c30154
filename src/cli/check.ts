import { partition } from 'es-toolkit/array';
import {
  type Diagnostic,
  defaultsOf,
  inUnits,
  keptReport,
  Refusal,
  type Report,
} from '../../shared/contract/index.ts';
import { isInLog, resolveSettings } from '../../shared/engine/index.ts';
import { optionMessages as says, commandMessages as saysOfCommand } from '../../shared/text/index.ts';
import { checkReport, leftOutLines, settingsOfLogs } from '../engine/index.ts';
import { checkTargets } from '../files/index.ts';
import { defaultReaderOptions, KNOWN_NAMES, type ReaderOptions } from '../formats/csv/index.ts';
import type { PipelineJob } from '../run/index.ts';
import { HELP_FOOTER } from './cautions.ts';
import { checkOptions } from './command-options.ts';
import { expandPaths, findInputs, type InputFiles } from './input-files.ts';
import { inTurn, ledgerOf, writeOutputs } from './lake-records.ts';
import { logSettings, saveLogSettings } from './log-settings.ts';
import { runWaypointFiles } from './pipeline-job.ts';
import { readConfig } from './read-config.ts';
import { createPrompt, fittingPart, type RepairedLog, repairLogs } from './repair-logs.ts';
import { LOG_STAGES, type ResolvedCommand, resolveCommand } from './resolve-command.ts';

const SHAPE = {
  name: 'check',
  summary:
    'Reports what was read and dropped, how well passes agree and how well each waypoint is covered. Writes files only for --passes and --save.',
  argument: { name: '[waypoints...]', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
  footer: `Columns of a log that are recognized by name, with any spacing and with or without a unit:
${Object.entries(KNOWN_NAMES)
  .map(([what, names]) => `  ${what.padEnd(12)}${names.join(', ')}`)
  .join('\n')}

${HELP_FOOTER}`,
} as const;

export async function run(argv: readonly string[]): Promise<number> {
  const command = await resolveCommand(SHAPE, argv, LOG_STAGES);
  const { io, inputs, units } = command;
  if (command.positionals.length === 0 && (inputs.soundings ?? []).length === 0)
    throw new Refusal([says['command-line nothing-to-check'](undefined)], 2);
  const options = command.values('check', checkOptions);
  const files = findInputs(command);
  const { logs } = files;
  const read = Object.values(files).flat();
  const targets = { force: options.force, sources: [...read, ...command.sideFiles] };
  if (options.passes !== undefined) checkTargets([options.passes], targets);
  const kept = options.save ? await keepSettings(command, files, options.force) : undefined;
  const { job, diagnostics, lake, refusal } = await io.reportingAll(() =>
    readLake(command, files, io.report, kept),
  );
  const faults = await repairLogs(job, diagnostics, units, async () => undefined);
  const byFile = new Map(faults.map(({ file, faults: own }) => [file, own]));
  const printJson = (logs: readonly object[], leftOut: readonly string[], marks: unknown, passes: unknown) =>
    io.print(`${JSON.stringify({ logs, leftOut, faults: faults.map(asJson), marks, passes })}\n`);
  if (lake === undefined) {
    if (inputs.json) printJson([], logs, [], []);
    else if (faults.length > 0) io.print(`${leftOutLines(logs, diagnostics, byFile, units).join('\n')}\n`);
    throw io.inUnitsOf(refusal);
  }
  const { survey } = lake.result;
  const leftOut = [...lake.result.leftOut, ...leftOutInside(logs, lake.result.leftOut, diagnostics)];
  const { marks, passes, routes, text } = checkReport({
    survey,
    waypoints: lake.waypointFiles.waypoints,
    diagnostics,
    leftOut,
    faults: byFile,
    passedOver: expandPaths(inputs.soundings ?? [], { what: 'files', extensions: [''] }).filter(
      (file) => !read.includes(file) && !BESIDE.test(file),
    ),
    units,
    date: command.date,
  });
  if (inputs.json) printJson(survey.logs, leftOut, marks, passes);
  else io.print(`${text}\n`);
  if (options.passes !== undefined)
    await writeOutputs(command, files, [{ path: options.passes, content: routes }], targets);
  return diagnostics.some(({ severity }) => severity === 'error') ? 1 : 0;
}

/** Matches names of files that accompany a log. Any other file that was not read is listed as skipped. */
const BESIDE = /\.(?:yaml|dbf|prj|shx|cpg)$/i;

/** Finds the refused files inside logs that were not left out as a whole. */
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

/**
 * Reads waypoints and logs.
 *
 * @param kept Settings of the job that replace those of the command line.
 * @returns The `job` that was run; all `diagnostics`; and the `lake`, or the `refusal` that ended the run,
 *   such as when no log could be read.
 */
async function readLake(
  command: ResolvedCommand,
  files: InputFiles,
  passOn: Report,
  kept: Partial<PipelineJob> = {},
) {
  const { diagnostics, report } = keptReport(passOn);
  let job: PipelineJob | undefined;
  const { given } = ledgerOf(command, files, () => {});
  try {
    const lake = await runWaypointFiles(command, files, given, report, (made) => {
      const readerOptions = { ...made.readerOptions, ...kept.readerOptions };
      job = { ...made, useStore: false, ...kept, readerOptions };
      return job;
    });
    return { lake, job: job!, diagnostics };
  } catch (cause) {
    // Faults of waypoint files and tracks are not for `repairLogs`.
    if (!(cause instanceof Refusal) || job === undefined) throw cause;
    return { job, diagnostics: [...diagnostics, ...cause.diagnostics], refusal: cause };
  }
}

/**
 * Saves for each log the settings that repair it, and for all logs the other log options of the command line.
 *
 * The value of a repair comes from the log itself if it is certain, else from the command line or the user's
 * answer.
 *
 * @returns Job settings for reading the logs from now on.
 */
async function keepSettings(
  command: ResolvedCommand,
  files: InputFiles,
  force: boolean,
): Promise<Partial<PipelineJob>> {
  const { io, inputs, units, given } = command;
  const known = settingsOfLogs(command.pipeline.log);
  const ofLogs = given.filter(({ flag }) => known.has(flag));
  const [typed, configured] = partition(ofLogs, ({ wording }) => wording.startsWith('--'));
  const own = resolveSettings(known, configured, units, '');
  const readerOptions = defaultReaderOptions(own.get('reader') as Partial<ReaderOptions>);
  const log = command.pipeline.log.map((step) => ({
    ...step,
    options: { ...defaultsOf(step.plugin.options), ...own.get(step.plugin.name) },
  }));
  const pipeline = { ...command.pipeline, log };
  const { diagnostics, job } = await readLake(command, files, () => {}, { readerOptions, pipeline });
  const used = new Set<string>();
  const asked = createPrompt(command, known);
  const repaired = await repairLogs(job, diagnostics, units, async (file, fault, repair) => {
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
    ...files.logs.filter((name) => name !== '-').map((log) => ({ log, file: log, settings: others })),
  ].filter(({ settings }) => settings.length > 0);
  if (kept.length === 0 && repaired.length === 0) {
    const isUnnamed = files.logs.length > 0 && files.logs.every((name) => name === '-');
    const which = files.logs.length === 0 ? ' no-log' : isUnnamed ? ' unnamed' : '';
    throw new Refusal([saysOfCommand[`nothing-to-save${which}`](undefined)], 2);
  }
  const saved = await inTurn({ logs: files.logs, waypoints: [] }, () =>
    saveLogSettings(command, kept, force),
  );
  for (const file of saved) io.note(`wrote ${file}`);
  const logSets = inputs.config === undefined ? command.logSets : readConfig(inputs.config).sets.logs;
  return { readerOptions, pipeline, logOptions: logSettings(files.logs, { ...command, logSets }) };
}
