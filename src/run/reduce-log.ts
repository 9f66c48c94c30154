import {
  type Diagnostic,
  type LogPlugin,
  mergeByRank,
  type SoundingLog,
} from '../../shared/contract/index.ts';
import {
  type Enter,
  joinSoundings,
  type ReducedPart,
  type ResolvedValues,
  reducePart,
  type Step,
  stepsFor,
  takeRows,
} from '../../shared/engine/index.ts';
import type { ReaderOptions } from '../formats/csv/index.ts';
import type { AcceptedPart } from './log-pool.ts';
import { type LogReaders, readLog } from './reading/read-log.ts';
import type { StoredLog } from './store/log-codec.ts';

/** Reduces one part; resolves as soon as the part is accepted, so that reading can continue. */
export type ReducePart = (part: SoundingLog) => Promise<AcceptedPart>;

/** Runs the log plugins in this thread. @param optionsOf Options of an input in place of those of all. */
export const reduceInline =
  (
    steps: readonly Step<LogPlugin>[],
    enter?: Enter,
    optionsOf: (input: string) => ResolvedValues | undefined = () => undefined,
  ): ReducePart =>
  async (part) => ({
    answer: Promise.resolve(reducePart(part, stepsFor(steps, optionsOf(part.file)), enter)),
  });

/**
 * Reads one log from start to end and runs the log plugins on each part as soon as it is read.
 *
 * @returns Reduced soundings of the whole log, in shared memory, and the diagnostics.
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
  let holdsFiles = false;
  let next = await parts.next();
  while (!next.done) {
    holdsFiles ||= next.value.file !== file;
    const { answer } = await reduce(next.value);
    // The answers are awaited below, in order; until then a failure must not count as unhandled.
    answer.catch(() => {});
    pending.push(answer);
    next = await parts.next();
  }
  const { account: read, isAlone } = next.value;
  const reduced = await Promise.all(pending);
  const received = reduced.reduce((sum, part) => sum + part.received, 0);
  // Compares the reader's account with what the threads received, so that a part lost or processed twice is
  // detected.
  if (received !== read.used)
    throw new Error(`${file}: ${read.used} rows were read, ${received} reached the log plugins`);
  diagnostics.push(...reduced.flatMap((part) => part.diagnostics));
  return {
    soundings: joinSoundings(reduced.map(({ soundings }) => soundings)),
    account: reduced.reduce((account, { dropped }) => takeRows(account, dropped), read),
    diagnostics: mergeByRank(diagnostics),
    isAlone,
    holdsFiles,
  };
}

/** A reduced log. */
export interface WholeLog extends StoredLog {
  /** False when the log was read from several files. */
  readonly isAlone: boolean;
  /** True when soundings come from files inside the log. */
  readonly holdsFiles: boolean;
}
