import {
  type Diagnostic,
  type LengthUnit,
  type ReadSoundings,
  Refusal,
  type SoundingLog,
  toMeters,
} from '../../../shared/contract/index.ts';
import { type At, readerMessages, soundingMessages as says } from '../../../shared/text/index.ts';
import {
  createRowColumns,
  type DepthRules,
  isLogTime,
  latestTime,
  type ReaderOptions,
  reserveRows,
  type Tally,
  toLogPart,
  writtenDepthFault,
} from '../../formats/csv/index.ts';

/** Share of negative values, 0 to 1, above which values are taken for elevations of the bottom; judgment. */
const SURELY_ELEVATIONS = 0.95;
const DAY = 86_400;

export type DepthReading = Pick<DepthRules, 'unit' | 'vertical' | 'isStated'> & {
  /** True when no value read so far shows the sign convention. */
  readonly isOpen?: boolean;
};

/**
 * Finds the unit and sign convention of depths: as stated by the file, else by the user. If neither states
 * the sign convention, values that are nearly all negative are read as elevations; if no value is nonzero,
 * depths count as positive down and `isOpen` is set.
 *
 * @throws Refusal when no unit is stated, or when the values leave the sign convention in doubt.
 */
export function depthReading(
  points: ReadSoundings,
  options: ReaderOptions,
  at: At,
  tally: Tally,
): DepthReading {
  const { depth, depthUnit, vertical } = points;
  const stated = options.depthUnit as LengthUnit | undefined;
  const unit = depthUnit ?? stated;
  if (unit === undefined) throw new Refusal([readerMessages['depth-unit'](at)]);
  if (depthUnit === undefined) tally.flagOnce(says['depth-unit'](at, unit, '--depth-unit'));
  const sign = vertical ?? options.vertical;
  if (sign !== undefined) return { unit, vertical: sign as 'down' | 'up', isStated: vertical !== undefined };
  const heights = depth.filter((value) => value !== 0 && Number.isFinite(value));
  if (heights.length === 0) return { unit, vertical: 'down', isOpen: true };
  const share = heights.filter((value) => value < 0).length / heights.length;
  if (share <= SURELY_ELEVATIONS)
    throw new Refusal([readerMessages.vertical(at, heights.find((h) => h > 0)!, share > 0)]);
  tally.flagOnce(says.elevation(at, 'the values', share));
  return { unit, vertical: 'up' };
}

/** Converts a reader's points to a part of a log. Rows without a usable position or depth are dropped. */
export function pointsToLog(
  points: ReadSoundings,
  reading: DepthReading,
  file: string,
  options: ReaderOptions,
  tally: Tally,
): SoundingLog {
  const rows = createRowColumns(0);
  const count = points.depth.length;
  reserveRows(rows, count);
  const passes: number[] = [];
  const rules: DepthRules = { ...options, ...reading };
  const record = points.record ?? (points.line === undefined ? 'row' : undefined);
  for (let i = 0; i < count; i++) {
    tally.read++;
    const at = { file, line: points.line?.[i] ?? i + 1, record };
    const lon = wrapped(points.lon[i], at, tally);
    const depth = points.depth[i];
    const fault = judgePlace(points.lat[i], lon, at) ?? writtenDepthFault(depth, at, rules);
    if (fault !== undefined) {
      tally.drop(fault);
      continue;
    }
    const row = rows.count++;
    rows.lat[row] = points.lat[i];
    rows.lon[row] = lon;
    rows.depth[row] = toMeters(reading.vertical === 'up' ? -depth : depth, reading.unit) + 0;
    rows.time[row] = believed(points.time?.[i] ?? Number.NaN, at, options, tally);
    rows.temperature[row] = points.temperature?.[i] ?? Number.NaN;
    rows.line[row] = at.line;
    passes.push(points.pass?.[i] ?? 0);
  }
  rows.hasTemperature = points.temperature !== undefined;
  const part = toLogPart(rows, file, 0);
  part.pass.set(passes);
  return { ...part, record, depthFrom: points.depthFrom };
}

function wrapped(lon: number, at: At, tally: Tally): number {
  if (!(lon > 180 && lon <= 360)) return lon;
  tally.flag(says['longitude-wrapped'](at, `${lon}`));
  return lon - 360;
}

function judgePlace(lat: number, lon: number, at: At): Diagnostic | undefined {
  if (Number.isNaN(lat) || Number.isNaN(lon)) return says['no-position'](at, '');
  if (!(Math.abs(lat) <= 90)) return says['position-range'](at, 'lat', `${lat}`);
  if (!(Math.abs(lon) <= 180)) return says['position-range'](at, 'lon', `${lon}`, 180);
  return Math.abs(lat) < 1e-6 && Math.abs(lon) < 1e-6 ? says['no-fix'](at) : undefined;
}

/**
 * Returns a time, s; NaN for a time that no log can have. Times in the first 40 days of 1970 are kept, since
 * they come from clocks without dates.
 */
function believed(time: number, at: At, options: ReaderOptions, tally: Tally): number {
  if (!Number.isFinite(time)) return Number.NaN;
  if (time >= 0 && time < 40 * DAY) return time;
  if (isLogTime(time, latestTime(options))) return time;
  const year = Math.abs(time) < 8.64e12 ? new Date(time * 1000).toISOString() : `${time} s`;
  tally.flag(says['time-year'](at, year));
  return Number.NaN;
}
