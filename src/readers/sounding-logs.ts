import type { RowAccount, SoundingLog } from '../../shared/contract/soundings.ts';
import type { Diagnostic } from '../../shared/diagnostics/diagnostic.ts';
import { fileSource } from './byte-source.ts';
import { readCsvSoundings } from './csv-soundings.ts';
import type { ReaderOptions } from './reader-options.ts';

/** Takes each diagnostic as it is found. */
export type Report = (diagnostic: Diagnostic) => void;

/**
 * Parts of a sounding log in file order, at most some 2.8 M rows each, and at the end what became of its rows.
 *
 * Depth is in meters, positive down, as logged. A part holds the rows of one fixed stretch of bytes of the file,
 * so parts are the same however the work is spread.
 *
 * @throws Refusal when the file as a whole cannot be used: nothing of it may reach the survey, also not
 *   parts handed out before.
 */
export async function* readSoundingLog(
  file: string,
  options: ReaderOptions,
  report: Report,
): AsyncGenerator<SoundingLog, RowAccount> {
  const source = await fileSource(file);
  return yield* readCsvSoundings(source, options, report);
}
