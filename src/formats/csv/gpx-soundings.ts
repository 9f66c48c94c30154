import {
  type LengthUnit,
  Refusal,
  type Report,
  type RowAccount,
  type SoundingLog,
  toMeters,
} from '../../../shared/contract/index.ts';
import { type At, readerMessages, soundingMessages as says } from '../../../shared/text/index.ts';
import { readTrackPoints, type TrackPoint } from '../gpx/index.ts';
import type { ByteSource } from './byte-source.ts';
import { type DepthRules, writtenDepthFault } from './depth-faults.ts';
import { isLogTime, latestTime } from './layout.ts';
import { flagNothing } from './log-end.ts';
import { putInOrder } from './part-times.ts';
import type { ReaderOptions } from './reader-options.ts';
import { createRowColumns, reserveRows, toLogPart } from './row-columns.ts';
import { createTally, type Tally } from './tally.ts';

/** Maximum number of soundings in a part; chosen: almost six days of one point a second. */
const PART_ROWS = 500_000;

/**
 * Reads a sounding log in GPX: yields its parts and returns the account of its rows. The soundings are the
 * track points with a usable depth. Each track segment is a pass, except segments that `joinPoints` joins.
 *
 * A depth without a unit is in the unit of `--depth-unit`. The account counts every track point. A point
 * without a depth is dropped as `soundings/no-depth`.
 * @throws Refusal as `readTrackPoints` does, and for a depth without a unit when `--depth-unit` is absent.
 */
export async function* readGpxSoundings(
  source: ByteSource,
  options: ReaderOptions,
  report: Report,
): AsyncGenerator<SoundingLog, RowAccount> {
  const file = source.name;
  const tally = createTally(report, options.explain);
  const rows = createRowColumns(8192);
  const passes: number[] = [];
  const depths: DepthRules = { ...options, unit: 'm', vertical: 'down', isStated: true };
  const elevations: DepthRules = { ...depths, vertical: 'up' };
  let part = 0;
  let used = 0;
  const makePart = (): SoundingLog => {
    used += rows.count;
    const made = toLogPart(rows, file, part++);
    joinPoints(passes);
    made.pass.set(passes);
    rows.count = 0;
    passes.length = 0;
    return putInOrder(made, tally);
  };
  let bytesRead = 0;
  async function* pieces() {
    for await (const chunk of source.chunks()) {
      bytesRead += chunk.length;
      options.progress?.(bytesRead, source.size);
      yield chunk;
    }
  }
  const reading = readTrackPoints(pieces(), file, options.eleIsDepth);
  let next = await reading.next();
  for (; !next.done; next = await reading.next()) {
    for (const point of next.value) {
      const at = { file, line: point.line };
      tally.read++;
      const depth = point.isUnitless ? withUnit(point.depth, options, at, tally) : point.depth;
      const { written } = point;
      const fault = point.isElevation
        ? writtenDepthFault(-depth, at, elevations, written)
        : writtenDepthFault(depth, at, depths, written);
      if (fault !== undefined) {
        tally.drop(fault);
        continue;
      }
      reserveRows(rows, 1);
      const row = rows.count++;
      rows.lat[row] = point.lat;
      rows.lon[row] = point.lon;
      rows.depth[row] = depth;
      rows.time[row] = timeOf(point, options, at, tally);
      rows.line[row] = point.line;
      passes.push(point.segment);
      if (rows.count === PART_ROWS) yield makePart();
    }
  }
  const summary = next.value;
  if (rows.count > 0) yield makePart();
  for (const diagnostic of summary.diagnostics) report(diagnostic);
  if (summary.dropped > 0) {
    tally.read += summary.dropped;
    tally.dropMore(summary.diagnostics[0].code, summary.dropped);
  }
  if (used === 0 && summary.belowZero * 2 > summary.points) tally.flag(says['ele-below']({ file }));
  else if (used === 0) flagNothing({ file }, tally);
  tally.flush();
  return tally.account(used);
}

/** Joins consecutive segments of one sounding each: some programs write each point as a segment. */
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

function timeOf({ time }: TrackPoint, options: ReaderOptions, at: At, tally: Tally): number {
  if (Number.isNaN(time) || isLogTime(time, latestTime(options))) return time;
  tally.flag(says['time-year'](at, new Date(time * 1000).toISOString()));
  return Number.NaN;
}

/** Converts a depth in the unit of `--depth-unit` to m. @throws Refusal when the option is absent. */
function withUnit(depth: number, { depthUnit }: ReaderOptions, at: At, tally: Tally): number {
  if (Number.isNaN(depth)) return depth;
  if (depthUnit === undefined) throw new Refusal([readerMessages['depth-unit'](at)]);
  tally.flagOnce(says['depth-unit']({ file: at.file }, depthUnit, '--depth-unit'));
  return toMeters(depth, depthUnit as LengthUnit);
}
