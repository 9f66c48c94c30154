import { parentPort, workerData } from 'node:worker_threads';
import type { LogPlugin } from '../../shared/contract/plugin.ts';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import { buffersOf, type LogAnswer } from './log-pool.ts';
import { type StepData, stepFromData } from './plugin-data.ts';
import { runLogSteps } from './run-logs.ts';

const port = parentPort;
if (port === null) throw new Error('log-worker runs only as a worker thread');
const steps = await Promise.all((workerData as readonly StepData[]).map(stepFromData<LogPlugin>));

port.on('message', (part: SoundingLog) => {
  const diagnostics: Diagnostic[] = [];
  try {
    const { soundings, dropped } = runLogSteps(part, steps, (diagnostic) => diagnostics.push(diagnostic));
    const { file: _file, part: _part, line: _line, ...columns } = soundings as SoundingLog;
    const answer: LogAnswer = { soundings: columns, dropped, diagnostics, received: part.count };
    port.postMessage(answer, buffersOf(columns));
  } catch (cause) {
    if (!(cause instanceof Refusal)) throw cause;
    port.postMessage({ refused: cause.diagnostics, status: cause.status } satisfies LogAnswer);
  }
});
