import { type Diagnostic, Refusal } from '../../../shared/contract/diagnostic.ts';
import { type ByteSource, CHUNK_BYTES } from './byte-source.ts';
import { PART_BYTES } from './csv-soundings.ts';
import { startOfCsv } from './csv-start.ts';
import { isPlain, type Layout } from './layout.ts';
import type { ReaderOptions } from './reader-options.ts';
import type { Sniffed } from './sniff-layout.ts';
import { createTally, type Tally } from './tally.ts';
import { parseZone } from './zones.ts';

/** Bytes of a range of a log and of one read of them; the first is a multiple of the second. */
export interface RangeBytes {
  readonly range: number;
  readonly chunk: number;
}

/** Ranges are the parts of a log as it is read whole, read in the same chunks: so both give the same rows. */
const RANGE_BYTES: RangeBytes = { range: PART_BYTES, chunk: CHUNK_BYTES };

/** A log in plain text that can be read range by range, in any order and in any thread; plain data. */
export interface SplitLog {
  readonly file: string;
  readonly size: number;
  readonly bytes: RangeBytes;
  /** Ranges; each gives one part. */
  readonly ranges: number;
  readonly start: Omit<Sniffed, 'layout'>;
  /** Layout without its time zone, which is no plain data: its name and its one offset say it. */
  readonly layout: Omit<Layout, 'time'> & { readonly time: Omit<Layout['time'], 'zone'> };
  readonly zone: string;
  readonly options: ReaderOptions;
}

export interface Split {
  readonly log: SplitLog;
  readonly tally: Tally;
}

/**
 * A log ready to be read range by range, and the tally of what was said of its start.
 *
 * @returns undefined for a log that is read whole: a short one, one in another encoding, one whose rows are not
 *   plain numbers, one without positions of its own, or one of which every dropped row is to be explained.
 */
export async function splitLog(
  source: ByteSource,
  options: ReaderOptions,
  report: (diagnostic: Diagnostic) => void,
  bytes: RangeBytes = RANGE_BYTES,
): Promise<Split | undefined> {
  const { name: file, size } = source;
  if (size <= bytes.range || size % bytes.range === 0 || options.explain) return undefined;
  const tally = createTally(report, false);
  const found = await startOrNone(source, options, tally);
  if (found === undefined) return undefined;
  const { sniff, start } = found;
  if (sniff.encoding !== 'utf-8' || sniff.bom > 0 || !isPlain(start.layout)) return undefined;
  if (start.offset > bytes.chunk) return undefined;
  const { layout, ...rest } = start;
  const { zone, ...time } = layout.time;
  const { progress: _progress, fixes: _fixes, ...plain } = options;
  const log: SplitLog = {
    file,
    size,
    bytes,
    ranges: Math.ceil(size / bytes.range),
    start: rest,
    layout: { ...layout, time },
    zone: zone.name,
    options: plain,
  };
  return { log, tally };
}

/** Start of a log; undefined for one that is refused: reading it whole says why. */
async function startOrNone(source: ByteSource, options: ReaderOptions, tally: Tally) {
  try {
    return await startOfCsv(source, options, tally);
  } catch (cause) {
    if (cause instanceof Refusal) return undefined;
    throw cause;
  }
}

/** Where the rows of a split log begin, and how they are laid out. */
export function startOf({ start, layout, zone }: SplitLog): Sniffed {
  const known = parseZone(zone);
  if (known?.fixed === undefined) throw new Error(`time zone "${zone}" has no single offset`);
  return { ...start, layout: { ...layout, time: { ...layout.time, zone: known } } };
}
