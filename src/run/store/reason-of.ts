import { Refusal } from '../../../shared/contract/index.ts';

/** Says in a few words why a file of the store could not be read or written. */
export function reasonOf(cause: unknown): string {
  if (!(cause instanceof Refusal)) return (cause as Error).message.split('\n')[0];
  const [{ message, values }] = cause.diagnostics;
  return String(values?.reason ?? message);
}
