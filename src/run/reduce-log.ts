import {
  type Diagnostic,
  mergeByRank,
  type SoundingLog,
  type Waypoint,
} from '../../shared/contract/index.ts';
import type { LogEntry } from '../../shared/engine/index.ts';
import {
  type Enter,
  joinSoundings,
  type LogOptions,
  optionsForInput,
  optionsInLog,
  type Pipeline,
  type ReducedPart,
  reducePart,
  stepsFor,
  takeRows,
} from '../../shared/engine/index.ts';
import type { ReaderOptions } from '../formats/csv/index.ts';
import { type LogEnd, type LogReaders, type OpenLog, readLog } from './reading/read-log.ts';

export interface LogJob {
  readonly pipeline: Pick<Pipeline, 'reader' | 'log'>;
  readonly readerOptions: ReaderOptions;
  /** Options of single logs and of files inside logs. */
  readonly logOptions?: readonly LogOptions[];
  readonly waypoints: readonly Waypoint[];
}

/** Returns the reader options of a log. Options for that log override options for all logs. */
export const optionsFor = (
  { readerOptions, logOptions }: Pick<LogJob, 'readerOptions' | 'logOptions'>,
  file: string,
): ReaderOptions => ({ ...readerOptions, ...optionsForInput(logOptions, file)?.get('reader') });

export const readersFor = (
  { pipeline, waypoints, logOptions }: Omit<LogJob, 'readerOptions'>,
  open: OpenLog,
  enter?: Enter,
): LogReaders => ({
  steps: pipeline.reader,
  places: waypoints,
  optionsOf: (input) => optionsForInput(logOptions, input)?.get('reader'),
  open,
  enter,
});

export type ReducePart = (part: SoundingLog) => ReducedPart | Promise<ReducedPart>;

/** Returns a function that runs the log plugins on a part, with the options for the file of the part. */
export const reducerFor =
  (
    { pipeline, logOptions }: { pipeline: Pick<Pipeline, 'log'>; logOptions?: LogJob['logOptions'] },
    log: string,
    enter?: Enter,
  ) =>
  (part: SoundingLog): ReducedPart =>
    reducePart(part, stepsFor(pipeline.log, optionsInLog(logOptions, log, part.file)), enter);

/**
 * Reads one log from start to end and runs the log plugins on each part as soon as it is read.
 *
 * @returns The whole log, with the reduced soundings in shared memory if possible.
 * @throws Refusal when the file is refused or a reader or log plugin throws.
 */
export async function reduceLog(
  file: string,
  options: ReaderOptions,
  reduce: ReducePart,
  readers: LogReaders,
): Promise<WholeLog> {
  const diagnostics: Diagnostic[] = [];
  const parts = readLog(file, options, readers, (diagnostic) => diagnostics.push(diagnostic));
  const reduced: ReducedPart[] = [];
  let holdsFiles = false;
  let next = await parts.next();
  while (!next.done) {
    holdsFiles ||= next.value.file !== file;
    reduced.push(await reduce(next.value));
    next = await parts.next();
  }
  const { account: read, isAlone } = next.value;
  const received = reduced.reduce((sum, part) => sum + part.received, 0);
  // The counts differ when a part was lost or processed twice.
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

export interface WholeLog extends LogEntry, Pick<LogEnd, 'isAlone'> {
  /** True when soundings come from files inside the log. */
  readonly holdsFiles: boolean;
}
