import type { Diagnostic } from '../../contract/index.ts';

export const storeRebuilt = (file: string, why: string): Diagnostic => ({
  severity: 'note',
  code: 'store/rebuilt',
  message: `The stored copy of this log could not be used (${why}). The log was read again.`,
  place: { file },
});

export const storeNotWritten = (folder: string, why: string): Diagnostic => ({
  severity: 'note',
  code: 'store/not-written',
  message: `Logs could not be stored here (${why}), so the next run reads them again. Add --no-store to do without.`,
  place: { file: folder },
});

export const storeUsed = (stored: number, read: number): Diagnostic => ({
  severity: 'note',
  code: 'store/used',
  message: `${stored} unchanged ${stored === 1 ? 'log' : 'logs'} came from the lake store; ${read} new or changed were read.`,
});

export const logChanged = (file: string): Diagnostic => ({
  severity: 'warning',
  code: 'store/log-changed',
  message:
    'Part of this log may be missing here: it was changed while it was read. Run again when nothing writes to it.',
  place: { file },
});

export const ledgerUnreadable = (file: string, why: string): Diagnostic => ({
  severity: 'warning',
  code: 'store/given-out',
  message: `The record of boat positions given out could not be used (${why}). Boat positions that come back without our marks on them are taken for yours.`,
  place: { file },
});

export const ledgerNotWritten = (file: string, why: string): Diagnostic => ({
  severity: 'warning',
  code: 'store/given-out',
  message: `The boat positions of this run could not be noted (${why}). Should your unit drop what marks them as ours, the next run takes them for yours.`,
  place: { file },
});

/** @param newer Outputs of the run that was stopped. @param older Those that are still of the run before it. */
export const outputsMixed = (newer: readonly string[], older: readonly string[]): Diagnostic => ({
  severity: 'warning',
  code: 'store/mixed-outputs',
  message: `Outputs of two runs are mixed: a run was stopped while it put them in place. New: ${newer.join(', ')}. From before: ${older.join(', ')}. Run again with --force.`,
});

export const generationNotNoted = (file: string, why: string): Diagnostic => ({
  severity: 'note',
  code: 'store/outputs',
  message: `What this run wrote could not be noted (${why}). Should the next run be stopped while it writes, mixed outputs would not show, and figures that it no longer makes stay.`,
  place: { file },
});

export const olderOutputKept = (paths: readonly string[]): Diagnostic => ({
  severity: 'warning',
  code: 'store/older-output',
  message: `Among the new files there are some of an earlier run, changed since and so left alone: ${paths.join(', ')}. Remove those you do not need.`,
});
