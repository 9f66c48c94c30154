import type { LogPlugin } from '../../shared/contract/plugin.ts';
import type { RowAccount, Soundings } from '../../shared/contract/soundings.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import type { ReaderOptions } from '../readers/reader-options.ts';
import { readSoundingLog } from '../readers/sounding-logs.ts';
import type { StoredLog } from '../store/log-codec.ts';
import type { Step } from './plan-pipeline.ts';
import { type Enter, runLogSteps, takeRows } from './run-logs.ts';
import { createSurveyBuilder } from './survey-builder.ts';

/**
 * Reads one log and runs the log plugins on each of its parts.
 *
 * @returns Reduced soundings of the whole log, in shared memory; what was said is among them too.
 * @throws Refusal when the file is refused or a plugin throws.
 */
export async function reduceLog(
  file: string,
  steps: readonly Step<LogPlugin>[],
  options: ReaderOptions,
  enter: Enter = () => {},
): Promise<StoredLog> {
  const diagnostics: Diagnostic[] = [];
  const report = (diagnostic: Diagnostic): void => {
    diagnostics.push(diagnostic);
  };
  const builder = createSurveyBuilder();
  const log = builder.addLog(file);
  const parts = readSoundingLog(file, options, report);
  let taken: RowAccount = { read: 0, used: 0, dropped: {} };
  let next = await parts.next();
  while (!next.done) {
    const { soundings, dropped } = runLogSteps(next.value, steps, report, enter);
    taken = takeRows(taken, dropped);
    builder.addPart(log, soundings);
    next = await parts.next();
  }
  const { logs: _logs, log: _log, ...soundings } = builder.build();
  return {
    soundings: soundings satisfies Soundings,
    account: takeRows(next.value, taken.dropped),
    diagnostics,
  };
}
