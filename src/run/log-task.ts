import type { MessagePort } from 'node:worker_threads';
import { type LogPlugin, Refusal, type SoundingLog } from '../../shared/contract/index.ts';
import { reducePart } from '../../shared/engine/index.ts';
import { buffersOf, type LogAnswer } from './log-pool.ts';
import { type StepData, stepFromData } from './plugin-data.ts';

/** Runs the log plugins on each part received; see `log-pool.ts`. */
export async function serve(data: readonly StepData[], port: MessagePort): Promise<void> {
  const steps = await Promise.all(data.map(stepFromData<LogPlugin>));
  const answer = (what: LogAnswer, columns: object = {}): void => port.postMessage(what, buffersOf(columns));
  port.on('message', (part: SoundingLog) => {
    try {
      const reduced = reducePart(part, steps);
      answer({ reduced }, reduced.soundings);
    } catch (cause) {
      if (!(cause instanceof Refusal)) throw cause;
      answer({ refused: cause.diagnostics, status: cause.status });
    }
  });
}
