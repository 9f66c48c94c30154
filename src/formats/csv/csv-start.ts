import { Refusal } from '../../../shared/contract/index.ts';
import {
  dateNumbers,
  refusalMessages as refusals,
  soundingMessages as says,
} from '../../../shared/text/index.ts';
import type { ByteSource } from './byte-source.ts';
import { type FileSniff, headOf, sniffBytes, textChunks } from './encodings.ts';
import type { Layout } from './layout.ts';
import { headLines, roughFields } from './lines.ts';
import type { ReaderOptions } from './reader-options.ts';
import { type Sniffed, sniffLayout } from './sniff-layout.ts';
import { createTally, type Tally } from './tally.ts';

/** Maximum number of bytes at the start of a log, as UTF-8, that are searched for its header and layout. */
const HEAD_BYTES = 256 * 1024;

/**
 * Finds the encoding and layout of a log in CSV text from its first bytes and the user's options. Reads the
 * whole log if its first rows have dates like 01/02/2024 and no option gives the order of day and month.
 *
 * @throws Refusal when the file is empty or not CSV text, or when the user has to say more about the log.
 */
export async function startOfCsv(
  source: ByteSource,
  options: ReaderOptions,
  tally: Tally,
): Promise<{ readonly sniff: FileSniff; readonly start: Sniffed }> {
  const first = await headOf(source.chunks(), 4096);
  if (first.bytes.length === 0) throw new Refusal([refusals['empty-file']({})]);
  const sniff = sniffBytes(first.bytes);
  if (sniff.foreign !== undefined) throw new Refusal([refusals.foreign({ line: 1 }, sniff.foreign)]);
  if (sniff.guessed) tally.flag(says['utf-16']({ line: 1 }));
  const { bytes, isWhole } = await headOf(textChunks(source, sniff), HEAD_BYTES);
  const lines = headLines(bytes, isWhole);
  if (lines.length === 0 && bytes.length > 0)
    throw new Refusal([refusals['long-line']({ line: 1 }, HEAD_BYTES)]);
  if (lines.every((line) => /^[\s\0]*$/.test(line.text))) throw new Refusal([refusals['empty-file']({})]);
  const start = sniffLayout(lines, options, tally.flag);
  const { layout, unknownDateOrder: unknown } = start;
  if (unknown === undefined) return { sniff, start };
  const proved = await provedDateOrders(textChunks(source, sniff), layout);
  if (proved.length === 0) throw new Refusal([refusals['date-order'](unknown.at, unknown.text)]);
  if (proved.length > 1) throw new Refusal([refusals['date-order mixed']({})]);
  const [dateOrder] = proved;
  const order = dateOrder === 'dmy' ? 'day/month/year' : 'month/day/year';
  tally.flag(says['date-order'](unknown.at, unknown.text, order));
  return { sniff, start: { ...start, layout: { ...layout, time: { ...layout.time, dateOrder } } } };
}

/** Returns the names of the position columns; undefined if one is missing or the log is refused. */
export async function positionColumns(
  source: ByteSource,
  options: ReaderOptions,
): Promise<[lat: string, lon: string] | undefined> {
  const silent = createTally(() => {}, false);
  try {
    const { at, columns } = (await startOfCsv(source, options, silent)).start.layout;
    return at.lat < 0 ? undefined : [columns[at.lat].name, columns[at.lon].name];
  } catch (cause) {
    if (cause instanceof Refusal) return undefined;
    throw cause;
  }
}

/** Returns the orders of day and month that dates of a log show. A number from 13 to 31 must be the day. */
async function provedDateOrders(
  chunks: AsyncIterable<Uint8Array>,
  layout: Layout,
): Promise<('dmy' | 'mdy')[]> {
  const column = layout.at.date >= 0 ? layout.at.date : layout.at.time;
  let carry: Uint8Array = new Uint8Array(0);
  const proved = new Set<'dmy' | 'mdy'>();
  const look = (bytes: Uint8Array, isWhole: boolean): number => {
    let next = 0;
    for (const line of headLines(bytes, isWhole)) {
      next = line.next;
      const numbers = dateNumbers(roughFields(line.text, layout.delimiter)[column] ?? '');
      if (numbers === undefined) continue;
      const [first, second] = numbers;
      if (first > 12 && first <= 31 && second <= 12) proved.add('dmy');
      if (second > 12 && second <= 31 && first <= 12) proved.add('mdy');
    }
    return next;
  };
  for await (const chunk of chunks) {
    const bytes = Buffer.concat([carry, chunk]);
    carry = Uint8Array.from(bytes.subarray(look(bytes, false)));
  }
  look(carry, true);
  return [...proved];
}
