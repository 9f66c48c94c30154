import type { MessagePort } from 'node:worker_threads';
import { whyRefused } from './second-parser.ts';

/** Says of each text why the second parser does not accept it, see `second-look.ts`. */
export function serve(_data: undefined, port: MessagePort): void {
  port.on('message', (text: Uint8Array) => port.postMessage({ reason: whyRefused(text) }));
}
