import {
  inFile,
  type Report,
  type RowAccount,
  type SoundingLog,
  thrownIn,
} from '../../../shared/contract/index.ts';
import { soundingMessages as says } from '../../../shared/text/index.ts';
import type { ByteSource } from './byte-source.ts';
import { startOfCsv } from './csv-start.ts';
import { headOf, textChunks, withoutFirst } from './encodings.ts';
import { readGpxSoundings } from './gpx-soundings.ts';
import { createLineReader, readLines, shorten } from './line-reader.ts';
import { completeLines, LONGEST_LINE } from './lines.ts';
import { finishLog, readEnd } from './log-end.ts';
import { createLogState, finishPart } from './part-times.ts';
import { clockOffsetOf, placeOnTrack } from './place-on-track.ts';
import type { ReaderOptions } from './reader-options.ts';
import { toLogPart } from './row-columns.ts';
import { createTally, type Tally } from './tally.ts';

/** Size of one part, bytes; chosen: about 200,000 typical rows, or 2 million of the shortest rows. */
const PART_BYTES = 12 * 1024 * 1024;
/** Number of bytes between two reports of progress. */
const PROGRESS_BYTES = 8 * 1024 * 1024;

/**
 * Reads a sounding log. Yields its parts in file order, at most about 2.2 million rows each, and returns the
 * account of its rows.
 *
 * A log is CSV text, or GPX whose track points carry depths. Depths are converted to m, positive down, and
 * not corrected. The size of parts, in bytes (CSV) or rows (GPX), does not depend on the number of threads.
 *
 * @throws Refusal when the file as a whole cannot be used. Parts already yielded must then be discarded.
 */
export async function* readSource(
  source: ByteSource,
  options: ReaderOptions,
  report: Report,
): AsyncGenerator<SoundingLog, RowAccount> {
  const read = (await isGpx(source)) ? readGpxSoundings : readCsvSoundings;
  return yield* read(source, options, report);
}

async function isGpx(source: ByteSource): Promise<boolean> {
  if (/\.gpx$/i.test(source.name)) return true;
  const { bytes } = await headOf(source.chunks(), 2048);
  const head = new TextDecoder('windows-1252').decode(bytes);
  return /^[^<]{0,3}\s*<(?:\?xml|(?:[\w.-]+:)?gpx)/i.test(head) && /<(?:[\w.-]+:)?gpx[\s>]/i.test(head);
}

/**
 * Reads a sounding log in CSV text; see `readSource`. The byte scanner reads ordinary rows fast, and
 * `readRow` reads all other rows. This function adds the file name to all messages.
 */
export async function* readCsvSoundings(
  source: ByteSource,
  options: ReaderOptions,
  report: Report,
  partBytes = PART_BYTES,
): AsyncGenerator<SoundingLog, RowAccount> {
  const file = source.name;
  const tally = createTally((diagnostic) => report(inFile(file, diagnostic)), options.explain);
  try {
    return yield* readParts(source, options, tally, partBytes);
  } catch (cause) {
    throw thrownIn(file, cause);
  }
}

async function* readParts(
  source: ByteSource,
  options: ReaderOptions,
  tally: Tally,
  partBytes: number,
): AsyncGenerator<SoundingLog, RowAccount> {
  const { sniff, start } = await startOfCsv(source, options, tally);
  const reader = createLineReader(start, options, tally);
  const state = createLogState();
  let part = 0;
  let clockOffset = options.clockOffset;
  if (clockOffset !== undefined && start.layout.at.lat < 0) tally.flag(says['clock-offset']({}, clockOffset));
  const makePart = (): SoundingLog => {
    let made = toLogPart(reader.rows, source.name, part++);
    reader.rows.count = 0;
    if (start.layout.at.lat < 0 || reader.layout.at.lat < 0) {
      clockOffset ??= clockOffsetOf(made, options.fixes!, tally);
      made = placeOnTrack(made, options.fixes!, clockOffset, tally);
    }
    return { ...finishPart(made, state, tally), depthFrom: reader.layout.depthFrom };
  };
  let offset = start.offset;
  let reported = 0;
  let carry: Uint8Array = new Uint8Array(0);
  for await (const chunk of withoutFirst(textChunks(source, sniff), start.offset)) {
    offset += chunk.length;
    const text = carry.length === 0 ? chunk : Buffer.concat([carry, chunk]);
    const done = readLines(reader, text.subarray(0, completeLines(text)), false);
    // Copied because a source may reuse the memory of a chunk.
    carry = new Uint8Array(text.subarray(done));
    if (carry.length > LONGEST_LINE) carry = shorten(reader, carry);
    if (offset - reported >= PROGRESS_BYTES) {
      options.progress?.(offset, source.size);
      reported = offset;
    }
    if (offset >= (part + 1) * partBytes && reader.rows.count > 0) yield makePart();
  }
  readEnd(reader, carry);
  if (reader.rows.count > 0) yield makePart();
  options.progress?.(source.size, source.size);
  return finishLog(reader, state.rows);
}
