import { Refusal } from '../../shared/contract/index.ts';
import { gpxOutput as says } from '../../shared/text/index.ts';
import type { LookAgain } from '../formats/gpx/index.ts';
import type { Thread, Threads } from './threads/threads.ts';

/** Validates output with a second, independent parser before it is written. */
export interface SecondLook {
  readonly lookAgain: LookAgain;
  /** Resolves when every text has been accepted. @throws Refusal for the first that was not. */
  accepted(): Promise<void>;
}

/**
 * Validates in an idle thread while this one continues or, when none is idle, in this thread at the end.
 *
 * Loading the parser takes as long as parsing a thousand waypoints, so no thread is started for it.
 */
export function openSecondLook(threads: Threads): SecondLook {
  const thread = threads.takeIdle();
  return thread === undefined ? lookHere() : lookInThread(thread, threads);
}

interface Looked {
  readonly file: string;
  readonly reason?: string;
}

/** Validates in this thread, at the end. */
export function lookHere(): SecondLook {
  const texts: { readonly text: Uint8Array; readonly file: string }[] = [];
  return {
    lookAgain: (text, file) => texts.push({ text, file }),
    async accepted() {
      if (texts.length === 0) return;
      const { whyRefused } = await import('../formats/gpx/second-parser.ts');
      for (const { text, file } of texts) refuse({ file, reason: whyRefused(text) });
    },
  };
}

function lookInThread(thread: Thread, threads: Threads): SecondLook {
  const port = thread.begin('second-parser', undefined);
  const asked: Promise<Looked>[] = [];
  const waiting: ((reason: string | undefined) => void)[] = [];
  port.on('message', ({ reason }: Omit<Looked, 'file'>) => waiting.shift()?.(reason));
  const failed = thread.ended.then((cause) => {
    throw cause ?? new Error('a thread ended before the second parser was done');
  });
  failed.catch(() => {});
  return {
    lookAgain(text, file) {
      asked.push(new Promise((resolve) => waiting.push((reason) => resolve({ file, reason }))));
      const copy = new Uint8Array(text);
      port.postMessage(copy, [copy.buffer]);
    },
    async accepted() {
      for (const looked of await Promise.race([Promise.all(asked), failed])) refuse(looked);
      port.close();
      threads.give(thread);
    },
  };
}

function refuse({ file, reason }: Looked): void {
  if (reason !== undefined) throw new Refusal([says.secondParserRefuses(file, reason)]);
}
