import type { Diagnostic } from '../../contract/index.ts';
import { note, warning } from './make.ts';

export const storeRebuilt = (file: string, why: string): Diagnostic =>
  note('store/rebuilt', `The stored copy of this log could not be used (${why}). The log was read again.`, {
    place: { file },
  });

export const storeNotWritten = (folder: string, why: string): Diagnostic =>
  note(
    'store/not-written',
    `Logs could not be stored here (${why}), so the next run reads them again. Add --no-store to do without.`,
    { place: { file: folder } },
  );

export const tilesRebuilt = (file: string, why: string): Diagnostic =>
  note('store/rebuilt', `The stored lake could not be used (${why}). It was modeled again.`, {
    place: { file },
  });

export const tilesNotWritten = (folder: string, why: string): Diagnostic =>
  note(
    'store/not-written',
    `The lake could not be stored here (${why}), so the next run models all of it again.`,
    { place: { file: folder } },
  );

export const storeUsed = (stored: number, read: number): Diagnostic =>
  note(
    'store/used',
    `${stored} unchanged ${stored === 1 ? 'log' : 'logs'} came from the lake store; ${read} new or changed were read.`,
  );

export const logChanged = (file: string): Diagnostic =>
  warning(
    'store/log-changed',
    'Part of this log may be missing: it changed while it was being read. Run again when nothing is writing to it.',
    { place: { file } },
  );

export const ledgerUnreadable = (file: string, why: string): Diagnostic =>
  warning(
    'store/given-out',
    `Boat positions of earlier runs may be taken for your own marks: the record of them could not be read (${why}). Look through the marks before you fish them.`,
    { place: { file } },
  );

export const ledgerNotWritten = (file: string, why: string): Diagnostic =>
  warning(
    'store/given-out',
    `The next run may take this run's boat positions for your own marks: they could not be recorded (${why}). Make the folder writable and run again.`,
    { place: { file } },
  );

/** @param newer Outputs of the stopped run. @param older Outputs left from the run before it. */
export const outputsMixed = (newer: readonly string[], older: readonly string[]): Diagnostic =>
  warning(
    'store/mixed-outputs',
    `These files are from two different runs, because one run was stopped while it wrote them. New: ${newer.join(', ')}. Old: ${older.join(', ')}. Run again with --force.`,
  );

export const generationNotNoted = (file: string, why: string): Diagnostic =>
  note(
    'store/outputs',
    `If the next run is stopped half way, mixed outputs will go unnoticed, and old figures may stay: the list of what this run wrote could not be saved (${why}).`,
    { place: { file } },
  );

export const olderOutputKept = (paths: readonly string[]): Diagnostic =>
  warning(
    'store/older-output',
    `Some files of an earlier run were left among the new ones, because they were changed since: ${paths.join(', ')}. Remove those you do not need.`,
  );
