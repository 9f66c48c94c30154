import { type MessagePort, parentPort } from 'node:worker_threads';
import type { TaskName, TaskRequest } from './threads.ts';

interface TaskModule {
  /** Does a task, or gets ready for requests. @param port Channel for requests and answers. */
  serve(data: never, port: MessagePort): unknown;
}

const TASKS: Readonly<Record<TaskName, () => Promise<TaskModule>>> = {
  'guarded-run': () => import('../pipeline-task.ts'),
  lake: () => import('../lake-task.ts'),
  log: () => import('../log-task.ts'),
  'second-parser': () => import('../../formats/gpx/second-parser.ts'),
  waypoint: () => import('../waypoint-task.ts'),
};

if (parentPort === null) throw new Error('thread.ts runs only as a thread');
parentPort.on('message', async ({ task, data, port }: TaskRequest) => {
  const { serve } = await TASKS[task]();
  if (port !== undefined) await serve(data as never, port);
});
