import type { MessagePort } from 'node:worker_threads';
import { Refusal } from '../../shared/contract/diagnostic.ts';
import type { LogPlugin } from '../../shared/contract/plugin.ts';
import { buffersOf, type LogAnswer, type LogRequest } from './log-pool.ts';
import { type StepData, stepFromData } from './plugin-data.ts';
import { reduceRanges } from './reduce-ranges.ts';
import { reducePart } from './run-logs.ts';

/** Runs the log plugins on what it is asked for, see `log-pool.ts`. */
export async function serve(data: readonly StepData[], port: MessagePort): Promise<void> {
  const steps = await Promise.all(data.map(stepFromData<LogPlugin>));
  const answer = (what: LogAnswer, columns: object = {}): void => port.postMessage(what, buffersOf(columns));
  port.on('message', async (request: LogRequest) => {
    try {
      if ('part' in request) {
        const reduced = reducePart(request.part, steps);
        answer({ reduced }, reduced.soundings);
        return;
      }
      await reduceRanges(request.ranges, steps, (range) => answer({ range }, range.reduced?.soundings));
      answer({ isDone: true });
    } catch (cause) {
      if (!(cause instanceof Refusal)) throw cause;
      answer({ refused: cause.diagnostics, status: cause.status });
    }
  });
}
