import type { RowAccount, SoundingLog } from '../../shared/contract/soundings.ts';
import { type Diagnostic, Refusal } from '../../shared/diagnostics/diagnostic.ts';
import {
  dateOrderUnknown,
  lineTooLong,
  logEmpty,
  logForeign,
} from '../../shared/diagnostics/sounding-refusals.ts';
import {
  clockOffsetEstimated,
  clockOffsetUsed,
  guessedUtf16,
  provenDateOrder,
  trackElsewhere,
} from '../../shared/diagnostics/soundings.ts';
import type { ByteSource } from './byte-source.ts';
import { estimateClockOffset, type OffsetEstimate } from './clock-offset.ts';
import { proveDateOrder } from './date-order.ts';
import { type FileSniff, sniffBytes } from './encodings.ts';
import { headLines } from './head-lines.ts';
import { createLineReader, readEnd, readLines, shorten } from './line-reader.ts';
import { createLogState, finishLog, finishPart } from './log-checks.ts';
import { placeOnTrack } from './place-on-track.ts';
import { LONGEST_LINE } from './quoted-lines.ts';
import type { ReaderOptions } from './reader-options.ts';
import { toLogPart } from './row-columns.ts';
import { type Sniffed, sniffLayout } from './sniff-layout.ts';
import { createTally, type Tally } from './tally.ts';
import { headOf, textChunks } from './text-chunks.ts';

/** Bytes of one part: some 200,000 rows of a usual log, at most a million of the shortest possible. */
export const PART_BYTES = 12 * 1024 * 1024;
/** First bytes looked at for header and layout. */
const HEAD_BYTES = 256 * 1024;
/** Bytes between two reports of progress. */
const PROGRESS_BYTES = 8 * 1024 * 1024;

/**
 * Parts of a sounding log in CSV text; see `readSoundingLog`.
 *
 * The scanner reads what is ordinary at full speed; every line it leaves goes through `readRow` one at a
 * time. Lines with quotes are parsed by fast-csv, others are split at the delimiter.
 */
export async function* readCsvSoundings(
  source: ByteSource,
  options: ReaderOptions,
  report: (d: Diagnostic) => void,
  partBytes = PART_BYTES,
): AsyncGenerator<SoundingLog, RowAccount> {
  const file = source.name;
  const tally = createTally(report, options.explain);
  const sniff = await sniffSource(source, tally);
  const start = await sniffStart(source, sniff, options, tally);
  const reader = createLineReader(file, start, options, tally);
  const state = createLogState();
  let part = 0;
  let clockOffset = options.clockOffset;
  if (clockOffset !== undefined && start.layout.at.lat < 0)
    tally.doubt(clockOffsetUsed({ file }, clockOffset, '--clock-offset'));
  const makePart = (): SoundingLog => {
    let made = toLogPart(reader.rows, file, part++);
    reader.rows.count = 0;
    if (start.layout.at.lat < 0 || reader.layout.at.lat < 0) {
      clockOffset ??= tellOffset(estimateClockOffset(made, options.fixes!), file, tally);
      made = placeOnTrack(made, options.fixes!, clockOffset, tally);
    }
    return finishPart(made, state, tally);
  };
  let skip = start.offset;
  let offset = 0;
  let reported = 0;
  let carry: Uint8Array = new Uint8Array(0);
  for await (let chunk of textChunks(source, sniff)) {
    offset += chunk.length;
    const cut = Math.min(skip, chunk.length);
    skip -= cut;
    if (cut > 0) chunk = chunk.subarray(cut);
    const text = carry.length === 0 ? chunk : Buffer.concat([carry, chunk]);
    const done = await readLines(reader, text.subarray(0, lastLineEnd(text)), false);
    // A copy: a source may use its memory again.
    carry = Uint8Array.from(text.subarray(done));
    if (carry.length > LONGEST_LINE) carry = shorten(reader, carry);
    if (offset - reported >= PROGRESS_BYTES) {
      options.progress?.(offset, source.size);
      reported = offset;
    }
    if (offset >= (part + 1) * partBytes && reader.rows.count > 0) yield makePart();
  }
  await readEnd(reader, carry);
  if (reader.rows.count > 0) yield makePart();
  options.progress?.(source.size, source.size);
  return finishLog(reader, state, tally, options);
}

function tellOffset({ seconds, agreement, onTrack }: OffsetEstimate, file: string, tally: Tally): number {
  if (seconds !== 0) tally.doubt(clockOffsetEstimated({ file }, seconds, agreement!));
  else if (onTrack < 0.5) tally.doubt(trackElsewhere({ file }, onTrack));
  return seconds;
}

async function sniffSource(source: ByteSource, tally: Tally): Promise<FileSniff> {
  const { bytes } = await headOf(source.chunks(), 4096);
  if (bytes.length === 0) throw new Refusal([logEmpty({ file: source.name })]);
  const sniff = sniffBytes(bytes);
  if (sniff.foreign !== undefined)
    throw new Refusal([logForeign({ file: source.name, line: 1 }, sniff.foreign)]);
  if (sniff.guessed) tally.doubt(guessedUtf16({ file: source.name, line: 1 }));
  return sniff;
}

async function sniffStart(
  source: ByteSource,
  sniff: FileSniff,
  options: ReaderOptions,
  tally: Tally,
): Promise<Sniffed> {
  const file = source.name;
  const { bytes, isWhole } = await headOf(textChunks(source, sniff), HEAD_BYTES);
  const lines = headLines(bytes, isWhole);
  if (lines.length === 0 && bytes.length > 0) throw new Refusal([lineTooLong({ file, line: 1 }, HEAD_BYTES)]);
  if (lines.every((line) => /^[\s\0]*$/.test(line.text))) throw new Refusal([logEmpty({ file })]);
  const start = sniffLayout(lines, options, file, (diagnostic) => tally.doubt(diagnostic));
  const unknown = start.unknownDateOrder;
  if (unknown === undefined) return start;
  const order = await proveDateOrder(textChunks(source, sniff), start);
  if (order === undefined) throw new Refusal([dateOrderUnknown(unknown.at, unknown.text)]);
  tally.doubt(provenDateOrder(unknown.at, order === 'dmy' ? 'day/month/year' : 'month/day/year'));
  const { layout } = start;
  return { ...start, layout: { ...layout, time: { ...layout.time, dateOrder: order } } };
}

/** Offset after the last line end; a CR as the very last byte may be half of one. */
function lastLineEnd(bytes: Uint8Array): number {
  const lf = bytes.lastIndexOf(10);
  const cr = bytes.lastIndexOf(13, bytes.length - 2);
  return Math.max(lf, bytes.length < 2 ? -1 : cr) + 1;
}
