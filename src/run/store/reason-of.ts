import { Refusal } from '../../../shared/contract/index.ts';

/** Says in a few words why a file of the store could not be read or written. */
export const reasonOf = (cause: unknown): string =>
  cause instanceof Refusal
    ? cause.diagnostics[0].message
        .split('. ')[0]
        .replace(/^Nothing can be written here: /, '')
        .replace(/^This output could not be written \((.*)\)$/, '$1')
        .replace(/ \(([^()]*)\)$/, ': $1')
    : (cause as Error).message.split('\n')[0];
