import type { LogPlugin } from '../../shared/contract/plugin.ts';
import type { RowAccount, SoundingLog } from '../../shared/contract/soundings.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import type { ReaderOptions } from '../readers/reader-options.ts';
import { readSoundingLog } from '../readers/sounding-logs.ts';
import type { StoredLog } from '../store/log-codec.ts';
import type { ReducedPart, TakenPart } from './log-pool.ts';
import type { Step } from './plan-pipeline.ts';
import { type Enter, runLogSteps, takeRows } from './run-logs.ts';
import { createSurveyBuilder } from './survey-builder.ts';

/** Reduces one part; resolves as soon as the part was taken over, so that reading can go on. */
export type ReducePart = (part: SoundingLog) => Promise<TakenPart>;

/** Runs the log plugins in this thread. */
export const reduceHere =
  (steps: readonly Step<LogPlugin>[], enter?: Enter): ReducePart =>
  async (part) => {
    const diagnostics: Diagnostic[] = [];
    const reduced = runLogSteps(part, steps, (diagnostic) => diagnostics.push(diagnostic), enter);
    return { answer: Promise.resolve({ ...reduced, diagnostics, received: part.count }) };
  };

/**
 * Reads one log and runs the log plugins on each of its parts.
 *
 * @returns Reduced soundings of the whole log, in shared memory; what was said is among them too.
 * @throws Refusal when the file is refused or a plugin throws.
 */
export async function reduceLog(
  file: string,
  options: ReaderOptions,
  reduce: ReducePart,
): Promise<StoredLog> {
  const diagnostics: Diagnostic[] = [];
  const parts = readSoundingLog(file, options, (diagnostic) => diagnostics.push(diagnostic));
  const pending: Promise<ReducedPart>[] = [];
  let next = await parts.next();
  while (!next.done) {
    const { answer } = await reduce(next.value);
    // Looked at again below, in order; until then a failure must not count as unhandled.
    answer.catch(() => {});
    pending.push(answer);
    next = await parts.next();
  }
  const builder = createSurveyBuilder();
  const log = builder.addLog(file);
  let account: RowAccount = next.value;
  let received = 0;
  for (const reduced of await Promise.all(pending)) {
    account = takeRows(account, reduced.dropped);
    received += reduced.received;
    builder.addPart(log, reduced.soundings);
    diagnostics.push(...reduced.diagnostics);
  }
  // The reader's account against what the threads say they got: a part lost or taken twice must not go unseen.
  if (received !== next.value.used)
    throw new Error(`${file}: ${next.value.used} rows were read, ${received} reached the log plugins`);
  const { logs: _logs, log: _log, ...soundings } = builder.build();
  return { soundings, account, diagnostics };
}
