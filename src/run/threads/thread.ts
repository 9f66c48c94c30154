import { parentPort } from 'node:worker_threads';
import { Refusal } from '../../../shared/contract/index.ts';
import { createHeartbeat, type Heartbeat } from './heartbeat.ts';
import type { Message, TaskName, TaskStart } from './pool.ts';

interface TaskModule {
  /**
   * Prepares a task.
   * @param say Sends a message ahead of an answer.
   * @returns Function that answers a request.
   */
  serve(
    setup: never,
    heartbeat: Heartbeat,
    say: (said: unknown) => void,
  ): ((request: never) => unknown) | Promise<(request: never) => unknown>;
}

const TASKS: Readonly<Record<TaskName, () => Promise<TaskModule>>> = {
  lake: () => import('../lake-task.ts'),
  run: () => import('../guarded-run.ts'),
  waypoint: () => import('../run-waypoints.ts'),
};

if (parentPort === null) throw new Error('thread.ts runs only as a thread');
parentPort.on('message', async ({ task, setup, heartbeat, port }: TaskStart) => {
  const send = (message: Message): void => port.postMessage(message);
  const { serve } = await TASKS[task]();
  const answer = await serve(setup as never, createHeartbeat(heartbeat), (said) => send({ said }));
  port.on('message', async (request: unknown) => {
    try {
      send({ answer: await answer(request as never) });
    } catch (cause) {
      if (!(cause instanceof Refusal)) throw cause;
      send({ refused: cause.diagnostics, status: cause.status });
    }
  });
});
