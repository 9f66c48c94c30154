import { bisectLeft, group } from 'd3-array';
import { countBy } from 'es-toolkit/array';
import {
  type DepthReference,
  defineReaderPlugin,
  METERS_PER,
  type ReaderContext,
  type ReadSoundings,
  Refusal,
} from '../../../shared/contract/index.ts';
import { shortTurn } from '../../../shared/survey/index.ts';
import { readerMessages as says, soundingMessages } from '../../../shared/text/index.ts';
import { headText, textOf } from '../open/index.ts';
import { anglesOf, clockOf, dayOf, numberOf, parseSentence, type Sentence } from './sentences.ts';

/**
 * Reader of NMEA 0183 text: depths (DPT, DBS, DBT, DBK) between fixes (GGA, RMC, GLL), water temperatures
 * (MTW) and days (RMC, ZDA).
 *
 * Positions come from the source with the most fixes. Depths come from one source too; DBS, which measures
 * from the surface, is preferred.
 */
export const nmea = defineReaderPlugin({
  name: 'nmea',
  summary: 'Reads NMEA 0183 text: depths from DPT, DBT, DBS and DBK, positions from GGA, RMC and GLL.',
  stage: 'reader',
  extensions: ['.nmea', '.log', '.txt', '.dat'],
  options: {},
  sniff(head) {
    const lines = headText(head)
      .split(/\r\n|\n|\r/)
      .filter((line) => line.trim() !== '');
    const sentences = lines.filter((line) => /[$!][A-Z]{2}[A-Z0-9]{3},/.test(line));
    return sentences.length > 0 && sentences.length * 2 >= lines.length;
  },
  read({ file, bytes }, _options, context) {
    const log = gather(textOf(bytes), file, context);
    if (log.depths.length === 0 || log.fixes.length === 0)
      throw new Refusal([
        says['nothing-inside'](
          { file },
          'an NMEA log',
          log.depths.length === 0 ? 'valid depths (DPT, DBT, DBS, DBK)' : 'valid positions (GGA, RMC, GLL)',
        ),
      ]);
    const fixes = ofOneSource(log.fixes, 'positions', [], file, context);
    const depths = ofOneSource(log.depths, 'depths', ['DBS', 'DPT', 'DBT', 'DBK'], file, context);
    if (!log.isDated) context.report(soundingMessages['time-relative']({ file }));
    return { soundings: [place(depths, fixes, log, file, context)] };
  },
});

/** Origin of a value. `source` is the talker and kind of its sentence: `GPGGA`. */
interface Said {
  readonly source: string;
  readonly line: number;
}

interface Fix extends Said {
  readonly lat: number;
  readonly lon: number;
  /** s since 1970, or since midnight of the first day when no day is known; NaN without a clock time. */
  readonly time: number;
}

interface Depth extends Said {
  /** Depth as the sentence gives it, m; NaN when absent. */
  readonly depth: number;
  /** Height of the waterline above the transducer, m, > 0; absent when the sentence gives none. */
  readonly offset?: number;
}

/**
 * Sentences with a clock time. `clock` is the index of the field with the time, and `lat` of the first of 4
 * position fields. `isValid` tells whether the receiver marks the position as valid.
 */
const CLOCKS: Readonly<
  Record<string, { clock: number; lat?: number; isValid?: (fields: readonly string[]) => boolean }>
> = {
  GGA: { clock: 0, lat: 1, isValid: (fields) => /^[1-9]$/.test(fields[5] ?? '') },
  RMC: { clock: 0, lat: 2, isValid: (fields) => fields[1] === 'A' },
  GLL: { clock: 4, lat: 0, isValid: (fields) => (fields[5] ?? 'A') === 'A' },
  ZDA: { clock: 0 },
};

function gather(text: string, file: string, context: ReaderContext) {
  const first = firstDay(text);
  const isDated = !Number.isNaN(first);
  const gathered = {
    fixes: [] as Fix[],
    depths: [] as Depth[],
    temperatures: [] as { line: number; celsius: number }[],
    /** Position sentences without a usable fix. */
    lost: [] as Said[],
    isDated,
  };
  // Start of the current day: the last date so far, else the first in the log, plus a day for each midnight.
  let midnight = isDated ? first : 0;
  let last = Number.NaN;
  for (const [i, raw] of text.split(/\r\n|\n|\r/).entries()) {
    const line = i + 1;
    const sentence = parseSentence(raw);
    if (sentence === undefined) continue;
    if (sentence === 'checksum') {
      // A damaged depth counts as a dropped row; any other damaged sentence is only reported.
      const say = /D(?:PT|B[STK]),/.test(raw) ? context.drop : context.report;
      say(says.checksum({ file, line }, raw.trim()));
      continue;
    }
    const { kind, talker, fields } = sentence;
    const said = { source: `${talker}${kind}`, line };
    if (/^D(?:PT|B[STK])$/.test(kind)) gathered.depths.push({ ...said, ...depthOf(sentence) });
    if (kind === 'MTW') gathered.temperatures.push({ line, celsius: numberOf(fields[0]) });
    if (!Object.hasOwn(CLOCKS, kind)) continue;
    const { clock, lat: at, isValid } = CLOCKS[kind];
    const second = clockOf(fields[clock] ?? '');
    const day = dateIn(sentence);
    if (!Number.isNaN(day)) midnight = day;
    else if (last - second > 43_200) midnight += 86_400;
    if (!Number.isNaN(second)) last = second;
    if (at === undefined) continue;
    const [latText = '', ns = '', lonText = '', ew = ''] = fields.slice(at, at + 4);
    const [lat, lon] = [anglesOf(latText, ns, 2), anglesOf(lonText, ew, 3)];
    const isRead = !Number.isNaN(lat + lon);
    if (!isValid!(fields)) gathered.lost.push(said);
    else if (isRead) gathered.fixes.push({ ...said, lat, lon, time: midnight + second });
    else {
      context.report(says.sentence({ file, line }, raw.trim()));
      gathered.lost.push(said);
    }
  }
  return gathered;
}

/** Returns the start of the first day in the log, s since 1970; NaN when there is none. */
function firstDay(text: string): number {
  for (const [line] of text.matchAll(/[$!][A-Z]{2}(?:RMC|ZDA),[^\r\n]*/g)) {
    const sentence = parseSentence(line);
    if (sentence === undefined || sentence === 'checksum') continue;
    const day = dateIn(sentence);
    if (!Number.isNaN(day)) return day;
  }
  return Number.NaN;
}

function dateIn({ kind, fields }: Sentence): number {
  if (kind === 'RMC') {
    const match = /^(\d{2})(\d{2})(\d{2})$/.exec(fields[8] ?? '');
    return match === null ? Number.NaN : dayOf(Number(match[1]), Number(match[2]), Number(match[3]));
  }
  return kind === 'ZDA' ? dayOf(numberOf(fields[1]), numberOf(fields[2]), numberOf(fields[3])) : Number.NaN;
}

/**
 * Reads a depth from meters, else feet, else fathoms. In DPT, the depth is below the transducer. A positive
 * offset is the distance to the waterline. A negative offset is the distance to the keel and is ignored.
 */
function depthOf({ kind, fields }: Sentence): Pick<Depth, 'depth' | 'offset'> {
  if (kind === 'DPT') {
    const offset = numberOf(fields[1]);
    return { depth: numberOf(fields[0]), ...(offset > 0 ? { offset } : {}) };
  }
  const units = { f: METERS_PER.ft, M: METERS_PER.m, F: METERS_PER.fm };
  const values = [2, 0, 4].map((at) => numberOf(fields[at]) * (units[fields[at + 1] as 'f'] ?? Number.NaN));
  return { depth: values.find((value) => !Number.isNaN(value)) ?? Number.NaN };
}

/**
 * Returns the values of one source. Of the sources with at least half as many values as the largest, this is
 * the one whose kind of sentence comes first in `order`, or else the largest.
 */
function ofOneSource<T extends Said>(
  all: readonly T[],
  what: 'positions' | 'depths',
  order: readonly string[],
  file: string,
  context: ReaderContext,
): readonly T[] {
  const counts = Object.entries(countBy(all, ({ source }) => source));
  const most = Math.max(...counts.map(([, count]) => count));
  const rank = (source: string): number => order.indexOf(source.slice(2));
  const [used] = counts
    .filter(([, count]) => count * 2 >= most)
    .sort(([a, ofA], [b, ofB]) => rank(a) - rank(b) || ofB - ofA || (a < b ? -1 : 1))[0];
  const others = counts.map(([source]) => source).filter((source) => source !== used);
  if (others.length > 0) context.report(says[`several-${what}`]({ file }, used, others));
  return all.filter(({ source }) => source === used);
}

/** Returns the level from which depths are measured. An offset moves this level to the surface. */
function referenceOf([{ source }]: readonly Depth[], offset: number | undefined): DepthReference {
  if (source.endsWith('DBS') || offset !== undefined) return 'surface';
  return source.endsWith('DBK') ? 'keel' : 'transducer';
}

/** Maximum time between two fixes for depths to be spread between them, s; judgment. */
const LONGEST_GAP = 10;

/**
 * Places the first depth after a fix at that fix, and further depths evenly up to the next fix.
 *
 * Drops depths without a value, before the first fix, and between a lost fix and the next fix. Also drops
 * further depths after the last fix, and between fixes without times or more than LONGEST_GAP apart.
 */
function place(
  depths: readonly Depth[],
  fixes: readonly Fix[],
  gathered: ReturnType<typeof gather>,
  file: string,
  context: ReaderContext,
): ReadSoundings {
  const { temperatures } = gathered;
  const offset = depths.find((depth) => depth.offset !== undefined)?.offset;
  if (offset !== undefined) context.report(says['depth-offset']({ file }, depths[0].source, offset));
  const lost = gathered.lost.filter(({ source }) => source === fixes[0].source).map(({ line }) => line);
  const fixLines = fixes.map(({ line }) => line);
  const warmLines = temperatures.map(({ line }) => line);
  const between = [...group(depths, ({ line }) => bisectLeft(fixLines, line) - 1)];
  const rows = between.flatMap(([fix, members]) => {
    const [from, to] = [fixes[Math.max(0, fix)], fixes[fix + 1]];
    const lostAt = lost[bisectLeft(lost, from.line)] ?? Number.POSITIVE_INFINITY;
    const isSpread = to !== undefined && to.time - from.time <= LONGEST_GAP;
    return members.flatMap(({ line, depth, offset: own = offset ?? 0 }, i) => {
      const share = i / members.length;
      const isPlaced = fix >= 0 && line < lostAt && (share === 0 || isSpread);
      if (Number.isNaN(depth)) context.drop(soundingMessages['no-depth']({ file, line }, ''));
      else if (!isPlaced) context.drop(soundingMessages['no-fix placed']({ file, line }));
      if (Number.isNaN(depth) || !isPlaced) return [];
      const next = share === 0 ? from : to;
      const lat = from.lat + share * (next.lat - from.lat);
      const lon = shortTurn(from.lon + share * shortTurn(next.lon - from.lon));
      const time = from.time + share * (next.time - from.time);
      const celsius = temperatures[bisectLeft(warmLines, line) - 1]?.celsius ?? Number.NaN;
      return [{ lat, lon, time, line, celsius, depth: depth + own }];
    });
  });
  return {
    lat: Float64Array.from(rows, ({ lat }) => lat),
    lon: Float64Array.from(rows, ({ lon }) => lon),
    depth: Float64Array.from(rows, ({ depth }) => depth),
    time: Float64Array.from(rows, ({ time }) => time),
    line: Uint32Array.from(rows, ({ line }) => line),
    ...(temperatures.length > 0 ? { temperature: Float32Array.from(rows, ({ celsius }) => celsius) } : {}),
    depthUnit: 'm',
    vertical: 'down',
    depthFrom: referenceOf(depths, offset),
  };
}
