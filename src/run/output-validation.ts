import { Refusal } from '../../shared/contract/index.ts';
import { gpxOutput as says } from '../../shared/text/index.ts';
import type { ValidateOutput } from '../formats/gpx/index.ts';
import { askInOrder, type Thread, type Threads } from './threads/threads.ts';

/** Validates output with a second, independent parser before it is written. */
export interface OutputValidation {
  readonly validate: ValidateOutput;
  /** Resolves when every text has been accepted. @throws Refusal for the first that was not. */
  accepted(): Promise<void>;
}

/**
 * Validates in an idle thread while this one continues or, when none is idle, in this thread at the end.
 *
 * Loading the parser takes as long as parsing a thousand waypoints, so no thread is started for it.
 */
export function openValidation(threads: Threads): OutputValidation {
  const thread = threads.takeIdle();
  return thread === undefined ? validateInline() : validateInThread(thread, threads);
}

interface Validated {
  readonly file: string;
  readonly reason?: string;
}

/** Validates in this thread, at the end. */
export function validateInline(): OutputValidation {
  const texts: { readonly text: Uint8Array; readonly file: string }[] = [];
  return {
    validate: (text, file) => texts.push({ text, file }),
    async accepted() {
      if (texts.length === 0) return;
      const { refusalReason } = await import('../formats/gpx/second-parser.ts');
      for (const { text, file } of texts) refuse({ file, reason: refusalReason(text) });
    },
  };
}

function validateInThread(thread: Thread, threads: Threads): OutputValidation {
  const port = thread.begin('second-parser', undefined);
  const { ask } = askInOrder<Uint8Array, Omit<Validated, 'file'>>(thread, port);
  const asked: Promise<Validated>[] = [];
  return {
    validate(text, file) {
      const copy = new Uint8Array(text);
      const answer = ask(copy, [copy.buffer]).then(({ reason }) => ({ file, reason }));
      // Awaited below; until then a failure must not count as unhandled.
      answer.catch(() => {});
      asked.push(answer);
    },
    async accepted() {
      for (const validated of await Promise.all(asked)) refuse(validated);
      port.close();
      threads.give(thread);
    },
  };
}

function refuse({ file, reason }: Validated): void {
  if (reason !== undefined) throw new Refusal([says['second-parser']({ file }, reason)]);
}
