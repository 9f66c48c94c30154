import { parentPort, workerData } from 'node:worker_threads';
import { whyRefused } from './second-parser.ts';
import type { Checked, TextToCheck, ThreadSetup } from './second-parser-thread.ts';

const port = parentPort;
if (port === null) throw new Error('second-parser-worker runs only as a worker thread');
const end = new Int32Array((workerData as ThreadSetup).end);

// Loads the parser while nothing waits for it.
whyRefused(new TextEncoder().encode('<gpx/>'));
port.on('message', ({ number, text }: TextToCheck) => {
  if (number >= Atomics.load(end, 0)) return;
  port.postMessage({ number, reason: whyRefused(text) } satisfies Checked);
});
