import { parentPort } from 'node:worker_threads';
import type { Survey } from '../../shared/contract/soundings.ts';
import { indexBuffers } from '../../shared/survey-index.ts';

const port = parentPort;
if (port === null) throw new Error('index-worker runs only as a worker thread');
port.once('message', (survey: Survey) => port.postMessage(indexBuffers(survey)));
