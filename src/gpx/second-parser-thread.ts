import { setImmediate as turn } from 'node:timers/promises';
import { Worker } from 'node:worker_threads';
import { Refusal } from '../../shared/diagnostics/diagnostic.ts';
import * as says from '../../shared/diagnostics/gpx.ts';
import { programFile } from '../program-files.ts';
import { parseAgain, type SecondParser } from './second-parser.ts';

/** What the thread is started with: the number of the first text that it need not look at, one `Int32`. */
export interface ThreadSetup {
  readonly end: SharedArrayBuffer;
}

/** A text in UTF-8 for the thread, and its number. */
export interface TextToCheck {
  readonly number: number;
  readonly text: Uint8Array;
}

/** Why a text is not accepted. */
export interface Checked {
  readonly number: number;
  readonly reason: string | undefined;
}

/** The second parser in a thread of its own: it loads while the logs are read, and reads while this one goes on. */
export interface SecondParserThread {
  readonly parse: SecondParser;
  /** Waits until every text given so far is looked at. @throws Refusal when one is not accepted. */
  finish(): Promise<void>;
  close(): Promise<void>;
}

export function startSecondParser(): SecondParserThread {
  const end = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT)).fill(0x7fffffff);
  const workerData: ThreadSetup = { end: end.buffer };
  const worker = new Worker(programFile('gpx/second-parser-worker'), { workerData });
  const given: { readonly text: Uint8Array; readonly file: string }[] = [];
  let answered = 0;
  let refused: Checked | undefined;
  let broken: unknown;
  worker.on('message', (answer: Checked) => {
    answered++;
    if (answer.reason !== undefined) refused ??= answer;
  });
  worker.on('error', (cause) => {
    broken ??= cause;
  });
  return {
    parse(text, file) {
      const own = Uint8Array.from(text);
      worker.postMessage({ number: given.length, text: own } satisfies TextToCheck);
      given.push({ text: own, file });
    },
    async finish() {
      // The thread goes from the first on; what it has not come to is looked at here, from the last back.
      let rest = given.length;
      while (answered < rest && refused === undefined) {
        if (broken !== undefined) throw broken;
        if (rest > answered + 1) {
          rest--;
          Atomics.store(end, 0, rest);
          parseAgain(given[rest].text, given[rest].file);
        }
        await turn();
      }
      if (refused?.reason === undefined) return;
      throw new Refusal([says.secondParserRefuses(given[refused.number].file, refused.reason)]);
    },
    async close() {
      await worker.terminate();
    },
  };
}
