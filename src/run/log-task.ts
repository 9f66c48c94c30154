import type { MessagePort } from 'node:worker_threads';
import { type LogPlugin, Refusal } from '../../shared/contract/index.ts';
import { reducePart, stepsFor } from '../../shared/engine/index.ts';
import { buffersOf, type LogAnswer, type LogTask } from './log-pool.ts';
import { type StepData, stepFromData } from './plugin-data.ts';

/** Runs the log plugins on each part received; see `log-pool.ts`. */
export async function serve(data: readonly StepData[], port: MessagePort): Promise<void> {
  const steps = await Promise.all(data.map(stepFromData<LogPlugin>));
  const answer = (what: LogAnswer, columns: object = {}): void => port.postMessage(what, buffersOf(columns));
  port.on('message', ({ part, own }: LogTask) => {
    try {
      const reduced = reducePart(part, stepsFor(steps, own));
      answer({ reduced }, reduced.soundings);
    } catch (cause) {
      if (!(cause instanceof Refusal)) throw cause;
      answer({ refused: cause.diagnostics, status: cause.status });
    }
  });
}
