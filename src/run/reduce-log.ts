import {
  type Diagnostic,
  type LogPlugin,
  type SoundingLog,
  togetherByRank,
} from '../../shared/contract/index.ts';
import type { ReducedPart, ResolvedValues, Step } from '../../shared/engine/index.ts';
import { type Enter, joinSoundings, reducePart, stepsFor, takeRows } from '../../shared/engine/index.ts';
import type { ReaderOptions } from '../formats/csv/index.ts';
import type { TakenPart } from './log-pool.ts';
import { type LogReaders, readLog } from './reading/read-log.ts';
import type { StoredLog } from './store/log-codec.ts';

/** Reduces one part; resolves as soon as the part was taken over, so that reading can go on. */
export type ReducePart = (part: SoundingLog) => Promise<TakenPart>;

/** Runs the log plugins in this thread. */
export const reduceHere =
  (steps: readonly Step<LogPlugin>[], enter?: Enter, own?: ResolvedValues): ReducePart =>
  async (part) => ({ answer: Promise.resolve(reducePart(part, stepsFor(steps, own), enter)) });

/**
 * Reads one log from start to end and runs the log plugins on each of its parts, which are handed on as they are read.
 *
 * @returns Reduced soundings of the whole log, in shared memory; what was said is among them too.
 * @throws Refusal when the file is refused or a plugin throws.
 */
export async function reduceLog(
  file: string,
  options: ReaderOptions,
  reduce: ReducePart,
  readers: LogReaders,
): Promise<WholeLog> {
  const diagnostics: Diagnostic[] = [];
  const parts = readLog(file, options, readers, (diagnostic) => diagnostics.push(diagnostic));
  const pending: Promise<ReducedPart>[] = [];
  let next = await parts.next();
  while (!next.done) {
    const { answer } = await reduce(next.value);
    // Looked at again below, in order; until then a failure must not count as unhandled.
    answer.catch(() => {});
    pending.push(answer);
    next = await parts.next();
  }
  const { account: read, isAlone } = next.value;
  const reduced = await Promise.all(pending);
  const received = reduced.reduce((sum, part) => sum + part.received, 0);
  // The reader's account against what the threads say they got: a part lost or taken twice must not go unseen.
  if (received !== read.used)
    throw new Error(`${file}: ${read.used} rows were read, ${received} reached the log plugins`);
  diagnostics.push(...reduced.flatMap((part) => part.diagnostics));
  return {
    soundings: joinSoundings(reduced.map(({ soundings }) => soundings)),
    account: reduced.reduce((account, { dropped }) => takeRows(account, dropped), read),
    diagnostics: togetherByRank(diagnostics),
    isAlone,
  };
}

/** A reduced log. */
export interface WholeLog extends StoredLog {
  /** False where it was read from several files. */
  readonly isAlone: boolean;
}
