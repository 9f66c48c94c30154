import type { Diagnostic } from '../../contract/diagnostic.ts';

export const storeRebuilt = (file: string, why: string): Diagnostic => ({
  severity: 'note',
  code: 'store/rebuilt',
  message: `Unexpected content (${why}), expected a stored log of this version; the log was read again and stored anew.`,
  place: { file },
});

export const storeNotWritten = (folder: string, why: string): Diagnostic => ({
  severity: 'note',
  code: 'store/not-written',
  message: `Could not keep reduced soundings here (${why}); the next run reads the logs again. Pass --no-store to do without.`,
  place: { file: folder },
});

export const storeUsed = (stored: number, read: number): Diagnostic => ({
  severity: 'note',
  code: 'store/used',
  message: `Took ${stored} unchanged ${stored === 1 ? 'log' : 'logs'} from the lake store, read ${read} new or changed.`,
});
