import { type Diagnostic, Refusal } from '../../shared/contract/diagnostic.ts';
import { indexSurvey } from '../../shared/survey/survey-index.ts';
import { nothingToCheck } from '../../shared/text/messages/command.ts';
import { writeAtomically } from '../files/atomic-write.ts';
import { checkTarget } from '../files/output-target.ts';
import { readFixes } from '../formats/csv/fixes.ts';
import { runGuarded } from '../run/engine.ts';
import { withThreads } from '../run/run-threads.ts';
import { HELP_FOOTER } from './cautions.ts';
import { checkReport } from './check-report.ts';
import { COMMAND_GROUPS } from './command-groups.ts';
import { createCommandIo, sayingAll } from './command-io.ts';
import { checkOptions } from './core-options.ts';
import { expandPaths } from './expand-paths.ts';
import { ledgerOf } from './ledger-of.ts';
import { pipelineJob } from './pipeline-job.ts';
import { settle } from './settle.ts';
import { readWaypointFiles } from './waypoint-files.ts';

const SHAPE = {
  name: 'check',
  summary:
    'Reports what was read and dropped, how passes agree, and how well each waypoint is covered; writes nothing but --passes.',
  argument: { name: '[waypoints...]', help: 'waypoint files, GPX 1.0 or 1.1, or folders of them' },
  footer: HELP_FOOTER,
} as const;

/** Prints the check to standard output. @returns Exit status: 0, or 1 when a log cannot be used. */
export async function run(argv: readonly string[]): Promise<number> {
  const settled = await settle(
    SHAPE,
    COMMAND_GROUPS.check,
    argv,
    ({ stage }) => stage === 'log' || stage === 'survey',
  );
  if (settled.positionals.length === 0 && (settled.inputs.soundings ?? []).length === 0)
    throw new Refusal([nothingToCheck()], 2);
  const io = createCommandIo(settled.inputs.json, settled.units);
  const options = settled.values('check', checkOptions);
  const files = expandPaths(settled.positionals, ['.gpx']);
  const trackFiles = expandPaths(settled.inputs.tracks ?? [], ['.gpx']);
  const logFiles = expandPaths(settled.inputs.soundings ?? [], ['.csv', '.gpx']);
  const target =
    options.passes === undefined
      ? undefined
      : checkTarget(options.passes, {
          force: options.force,
          inPlace: false,
          inputs: [],
          sources: [...files, ...logFiles, ...trackFiles, ...settled.sideFiles],
        });
  const { documents, waypoints } = readWaypointFiles(
    files,
    settled.inputs.salvage,
    ledgerOf(settled, files, logFiles, () => {}).given,
  );
  const diagnostics: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => {
    diagnostics.push(diagnostic);
    io.say(diagnostic);
  };
  const { survey } = await sayingAll(io, async () => {
    for (const document of documents) document.diagnostics.forEach(report);
    const fixes = trackFiles.length === 0 ? undefined : await readFixes(trackFiles, report);
    const job = { ...pipelineJob(settled, logFiles, fixes), waypoints, useStore: false };
    return withThreads(job, (threads) => runGuarded(job, threads, { report, progress: io.progress.show }));
  });
  const checked = checkReport({
    survey,
    index: indexSurvey(survey),
    waypoints,
    diagnostics,
    units: settled.units,
  });
  io.print(checked.text.endsWith('\n') ? checked.text : `${checked.text}\n`);
  if (target !== undefined) await writeAtomically(target, new TextEncoder().encode(checked.routes));
  return diagnostics.some(({ severity }) => severity === 'error') ? 1 : 0;
}
