import type { Diagnostic, RowAccount, SoundingLog } from '../../../shared/contract/index.ts';
import type { ByteSource } from './byte-source.ts';
import { readCsvSoundings } from './csv-soundings.ts';
import { headOf } from './encodings.ts';
import { readGpxSoundings } from './gpx-soundings.ts';
import type { ReaderOptions } from './reader-options.ts';

/**
 * Parts of a sounding log in file order, at most about 2.8 M rows each, and at the end the account of its rows.
 *
 * A log is CSV text, or GPX whose track points carry depths. Depth is in meters, positive down, as logged. A part holds
 * the rows of a fixed number of bytes (CSV) or a fixed number of rows (GPX), so the parts do not depend on how the work
 * is divided.
 *
 * @throws Refusal when the file as a whole cannot be used. None of it may then enter the survey, including parts that
 * were already returned.
 */
export async function* readSource(
  source: ByteSource,
  options: ReaderOptions,
  report: (diagnostic: Diagnostic) => void,
): AsyncGenerator<SoundingLog, RowAccount> {
  const read = (await isGpx(source)) ? readGpxSoundings : readCsvSoundings;
  return yield* read(source, options, report);
}

/** True for a file named .gpx, or one that begins like GPX. */
async function isGpx(source: ByteSource): Promise<boolean> {
  if (/\.gpx$/i.test(source.name)) return true;
  const { bytes } = await headOf(source.chunks(), 2048);
  const head = new TextDecoder('windows-1252').decode(bytes);
  return /^[^<]{0,3}\s*<(?:\?xml|(?:[\w.-]+:)?gpx)/i.test(head) && /<(?:[\w.-]+:)?gpx[\s>]/i.test(head);
}
