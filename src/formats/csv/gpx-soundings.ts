import {
  type Diagnostic,
  type LengthUnit,
  Refusal,
  type RowAccount,
  type SoundingLog,
  toMeters,
} from '../../../shared/contract/index.ts';
import { type At, depthUnitMissing, soundings as says } from '../../../shared/text/index.ts';
import { readTrackPoints, type TrackPointBatch } from '../gpx/index.ts';
import type { ByteSource } from './byte-source.ts';
import { writtenDepthFault } from './depth-faults.ts';
import { EARLIEST_TIME } from './layout.ts';
import { orderOfTime } from './part-times.ts';
import type { ReaderOptions } from './reader-options.ts';
import { createRowColumns, pickRows, type RowColumns, reserveRows, toLogPart } from './row-columns.ts';
import { createTally, type Tally } from './tally.ts';

/** Soundings of one part; the track of a very long day has about 300,000 points. */
const PART_ROWS = 500_000;

/**
 * Parts of a sounding log in GPX, from track points that carry a depth. Each track segment of several points is a
 * separate pass.
 *
 * A depth without a unit is in the unit of `--depth-unit`. The account counts every track point; points without a depth
 * are dropped as `soundings/no-depth`.
 * @throws Refusal as `readTrackPoints` does, and for depths without any stated unit.
 */
export async function* readGpxSoundings(
  source: ByteSource,
  options: ReaderOptions,
  report: (d: Diagnostic) => void,
): AsyncGenerator<SoundingLog, RowAccount> {
  const file = source.name;
  const tally = createTally(report, options.explain);
  const rows = createRowColumns(8192);
  const passes: number[] = [];
  const ready: SoundingLog[] = [];
  let part = 0;
  let used = 0;
  const makePart = () => {
    used += rows.count;
    const made = toLogPart(rows, file, part++);
    joinPoints(passes);
    for (let i = 0; i < made.count; i++) made.pass[i] = passes[i];
    rows.count = 0;
    passes.length = 0;
    ready.push(putInOrder(made, tally));
  };
  // The parser pushes and this function yields, so no more bytes are fed while parts wait to be taken.
  let bytesRead = 0;
  const gate = createGate();
  async function* pieces() {
    for await (const chunk of source.chunks()) {
      bytesRead += chunk.length;
      options.progress?.(bytesRead, source.size);
      yield chunk;
      if (ready.length > 0) await gate.wait();
    }
  }
  const onBatch = (batch: TrackPointBatch): void => {
    takeBatch(batch, rows, passes, options, file, tally);
    if (rows.count >= PART_ROWS) makePart();
  };
  const reading = readTrackPoints(pieces(), file, onBatch, options.eleIsDepth).finally(gate.finish);
  // Awaited below; a failure before that must not count as unhandled.
  reading.catch(() => {});
  while (!(await gate.filled())) {
    while (ready.length > 0) yield ready.shift()!;
    gate.open();
  }
  const summary = await reading;
  if (rows.count > 0) makePart();
  while (ready.length > 0) yield ready.shift()!;
  for (const diagnostic of summary.diagnostics) report(diagnostic);
  if (summary.dropped > 0) {
    tally.read += summary.dropped;
    tally.dropMore(summary.diagnostics[0]?.code ?? 'gpx/track-points', summary.dropped);
  }
  if (used === 0)
    tally.flag(
      summary.belowZero * 2 > summary.points
        ? says.heightsAsDepths({ file })
        : says.nothingUsable({ file }, summary.points),
    );
  tally.flush();
  return tally.account(used);
}

/** Joins consecutive one-point segments into one pass: some programs write every point as a segment. */
function joinPoints(passes: number[]): void {
  let isPoint = false;
  for (let i = 0; i < passes.length; ) {
    const segment = passes[i];
    let end = i + 1;
    while (end < passes.length && passes[end] === segment) end++;
    const wasPoint = isPoint;
    isPoint = end === i + 1;
    if (wasPoint && isPoint) passes[i] = passes[i - 1];
    i = end;
  }
}

/** Sorts the points of each segment that is out of order by time. */
function putInOrder(part: SoundingLog, tally: Tally): SoundingLog {
  const order = orderOfTime(part);
  if (order === undefined) return part;
  tally.flag(says.outOfOrder({ file: part.file, line: part.line[0] }));
  const { pass } = part;
  return pickRows(
    part,
    order.sort((a, b) => pass[a] - pass[b]),
  );
}

/** Makes the parser wait until the generator has taken the parts that are ready. */
function createGate() {
  let isFinished = false;
  let wake: () => void = () => {};
  let release: () => void = () => {};
  let woken = new Promise<void>((resolve) => {
    wake = resolve;
  });
  return {
    wait: () =>
      new Promise<void>((resolve) => {
        release = resolve;
        wake();
      }),
    finish: () => {
      isFinished = true;
      wake();
    },
    /** Resolves to true when the parser is done, false when it waits with parts ready. */
    filled: async () => {
      await woken;
      return isFinished;
    },
    open: () => {
      woken = new Promise<void>((resolve) => {
        wake = resolve;
      });
      if (isFinished) wake();
      release();
    },
  };
}

function takeBatch(
  batch: TrackPointBatch,
  rows: RowColumns,
  passes: number[],
  options: ReaderOptions,
  file: string,
  tally: Tally,
): void {
  reserveRows(rows, batch.count);
  for (let i = 0; i < batch.count; i++) {
    tally.read++;
    const at = { file, line: batch.line[i] };
    const depth = batch.unitless[i] === 1 ? withUnit(batch.depth[i], options, at, tally) : batch.depth[i];
    const fault = writtenDepthFault(depth, at, { ...options, unit: 'm', vertical: 'down' });
    if (fault !== undefined) {
      tally.drop(fault);
      continue;
    }
    let time = batch.time[i];
    if (time < EARLIEST_TIME || (options.now !== undefined && time > options.now + 86400)) {
      tally.flag(says.timeYear(at, new Date(time * 1000).toISOString()));
      time = Number.NaN;
    }
    const row = rows.count++;
    rows.lat[row] = batch.lat[i];
    rows.lon[row] = batch.lon[i];
    rows.depth[row] = depth;
    rows.time[row] = time;
    rows.line[row] = batch.line[i];
    passes.push(batch.segment[i]);
  }
}

/** A depth converted from the unit the user gave. @throws Refusal when no unit was given. */
function withUnit(depth: number, { depthUnit }: ReaderOptions, at: At, tally: Tally): number {
  if (Number.isNaN(depth)) return depth;
  if (depthUnit === undefined) throw new Refusal([depthUnitMissing(at)]);
  tally.flagOnce(says.depthUnitUsed({ file: at.file }, depthUnit, '--depth-unit'));
  return toMeters(depth, depthUnit as LengthUnit);
}
