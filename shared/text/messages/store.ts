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
