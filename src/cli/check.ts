import { type Diagnostic, Refusal, type Survey } from '../../shared/contract/index.ts';
import { indexSurvey } from '../../shared/survey/index.ts';
import { nothingToCheck, nothingToSave } from '../../shared/text/index.ts';
import { checkReport, enrichLake } from '../engine/index.ts';
import { checkTarget, writeAtomically } from '../files/index.ts';
import { KNOWN_NAMES } from '../formats/csv/index.ts';
import { runGuarded, withThreads } from '../run/index.ts';
import { HELP_FOOTER } from './cautions.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { type CommandIo, createCommandIo, sayingAll } from './command-io.ts';
import { checkOptions } from './core-options.ts';
import { expandPaths } from './expand-paths.ts';
import { filesOnDisk, findLogs } from './input-files.ts';
import { ledgerOf } from './ledger-of.ts';
import { settingsFile, settingsText } from './log-settings.ts';
import { pipelineJob } from './pipeline-job.ts';
import { type Settled, settle } from './settle.ts';

const SHAPE = {
  name: 'check',
  summary:
    'Reports what was read and dropped, how passes agree, and how well each waypoint is covered; writes nothing but --passes and --save.',
  argument: { name: '[waypoints...]', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
  footer: `Columns of a log that are known by their names, however they are spaced and with a unit after them:
${Object.entries(KNOWN_NAMES)
  .map(([what, names]) => `  ${what.padEnd(12)}${names.join(', ')}`)
  .join('\n')}

${HELP_FOOTER}`,
} as const;

/** Prints the check to standard output. @returns Exit status: 0, or 1 when a log was left out. */
export async function run(argv: readonly string[]): Promise<number> {
  const settled = await settle(
    SHAPE,
    COMMAND_GROUPS.check,
    argv,
    ({ stage }) => stage === 'reader' || stage === 'log' || stage === 'survey',
  );
  if (settled.positionals.length === 0 && (settled.inputs.soundings ?? []).length === 0)
    throw new Refusal([nothingToCheck()], 2);
  const io = createCommandIo(settled.inputs.json, settled.units);
  const options = settled.values('check', checkOptions);
  const files = expandPaths(settled.positionals, ['.gpx']);
  const trackFiles = expandPaths(settled.inputs.tracks ?? [], ['.gpx']);
  const logFiles = findLogs(settled);
  const target =
    options.passes === undefined
      ? undefined
      : checkTarget(options.passes, {
          force: options.force,
          inPlace: false,
          inputs: [],
          sources: [...files, ...logFiles, ...trackFiles, ...settled.sideFiles],
        });
  const diagnostics: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => {
    diagnostics.push(diagnostic);
    io.say(diagnostic);
  };
  const hooks = { report, progress: io.progress.show };
  const { waypointFiles, result } = await sayingAll(io, () =>
    enrichLake(
      settled,
      {
        ...filesOnDisk(settled, { waypoints: files, tracks: trackFiles }),
        given: ledgerOf(settled, files, logFiles, () => {}).given,
        async runStages(waypoints, fixes) {
          const job = { ...(await pipelineJob(settled, logFiles, fixes)), waypoints, useStore: false };
          return withThreads(job, (threads) => runGuarded(job, threads, hooks));
        },
      },
      report,
    ),
  );
  const { survey, leftOut } = result;
  const checked = checkReport({
    survey,
    index: indexSurvey(survey),
    waypoints: waypointFiles.waypoints,
    diagnostics,
    leftOut,
    units: settled.units,
  });
  if (settled.inputs.json)
    io.print(
      `${JSON.stringify({ logs: survey.logs, leftOut, marks: checked.marks, passes: checked.passes })}\n`,
    );
  else io.print(checked.text.endsWith('\n') ? checked.text : `${checked.text}\n`);
  if (target !== undefined) await writeAtomically(target, new TextEncoder().encode(checked.routes));
  await saveSettings(settled, survey, io);
  return diagnostics.some(({ severity }) => severity === 'error') ? 1 : 0;
}

/** With `--save`, what was typed about how logs are read is put beside each log that could be read. */
async function saveSettings(settled: Settled, { logs }: Survey, io: CommandIo): Promise<void> {
  const { save, force } = settled.values('check', checkOptions);
  if (!save) return;
  const text = settingsText(settled.given);
  if (text === undefined) throw new Refusal([nothingToSave()], 2);
  const files = [...new Set(logs.map(({ file }) => file))].filter((file) => file !== '-');
  for (const file of files.map(settingsFile)) {
    const target = checkTarget(file, { force, inPlace: false, inputs: [] });
    await writeAtomically(target, new TextEncoder().encode(text));
    io.note(`wrote ${file}`);
  }
}
