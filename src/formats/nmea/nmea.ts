import {
  type DepthReference,
  defineReaderPlugin,
  METERS_PER,
  type ReaderContext,
  type ReadSoundings,
  Refusal,
} from '../../../shared/contract/index.ts';
import { readers as says, soundings } from '../../../shared/text/index.ts';
import { headText, textOf } from '../open/index.ts';
import { anglesOf, clockOf, dayOf, numberOf, parseSentence, type Sentence } from './sentences.ts';

/**
 * Soundings from NMEA 0183 text: depths (DPT, DBS, DBT, DBK) between fixes (GGA, RMC, GLL), water temperatures (MTW) and
 * days (RMC, ZDA).
 *
 * Positions come from a single source, the one with the most fixes. Depths also come from a single source, and those
 * measured from the surface are preferred. The first depth after a fix is placed at that fix; further depths are spread
 * evenly up to the next fix.
 */
export const nmea = defineReaderPlugin({
  name: 'nmea',
  summary: 'Reads NMEA 0183 text: depths DPT, DBT, DBS and DBK between fixes GGA, RMC and GLL.',
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
          log.depths.length === 0 ? 'depths (DPT, DBT, DBS, DBK)' : 'fixes (GGA, RMC, GLL)',
        ),
      ]);
    const fixes = ofOneSource(log.fixes, 'positions', [], file, context);
    const depths = ofOneSource(log.depths, 'depths', ['DBS', 'DPT', 'DBT', 'DBK'], file, context);
    if (fixes.every(({ isDated }) => !isDated)) context.report(soundings['time-relative']({ file }));
    return { soundings: [place(depths, fixes, log, file, context)] };
  },
});

interface Fix {
  readonly source: string;
  readonly line: number;
  readonly lat: number;
  readonly lon: number;
  /** Seconds since 1970, or since the first midnight when no day is known. */
  readonly time: number;
  readonly isDated: boolean;
}

interface Depth {
  readonly source: string;
  readonly line: number;
  /** Depth in m, as the sentence gives it; NaN when absent. */
  readonly depth: number;
  /** Offset from the transducer to the waterline given by DPT, m; absent when it gives none. */
  readonly offset?: number;
}

interface Lost {
  readonly source: string;
  readonly line: number;
}

interface Gathered {
  readonly fixes: readonly Fix[];
  readonly depths: readonly Depth[];
  readonly temperatures: readonly { readonly line: number; readonly celsius: number }[];
  /** Places where a source reported that it had no fix. */
  readonly lost: readonly Lost[];
}

/** Days that a clock has passed through, from dates if there are any, else from midnights. */
interface Clock {
  midnight: number;
  last: number;
  isDated: boolean;
}

function gather(text: string, file: string, context: ReaderContext): Gathered {
  const gathered = {
    fixes: [] as Fix[],
    depths: [] as Depth[],
    temperatures: [] as { line: number; celsius: number }[],
    lost: [] as Lost[],
  };
  const clock: Clock = { midnight: firstDay(text), last: Number.NaN, isDated: false };
  clock.isDated = !Number.isNaN(clock.midnight);
  if (!clock.isDated) clock.midnight = 0;
  let line = 0;
  for (const raw of text.split(/\r\n|\n|\r/)) {
    line++;
    const sentence = parseSentence(raw);
    const at = { file, line };
    if (sentence === undefined) continue;
    if (sentence === 'checksum') {
      // A damaged depth is a lost row; any other damaged sentence is not.
      if (/D(?:PT|B[STK]),/.test(raw)) context.drop(says.checksum(at, raw.trim()));
      else context.report(says.checksum(at, raw.trim()));
      continue;
    }
    if (/^(?:GGA|RMC|GLL|ZDA)$/.test(sentence.kind))
      takeFix(sentence, line, clock, gathered, raw, file, context);
    else if (/^D(?:PT|B[STK])$/.test(sentence.kind)) {
      const depth = depthOf(sentence, line);
      gathered.depths.push(depth);
    } else if (sentence.kind === 'MTW')
      gathered.temperatures.push({ line, celsius: numberOf(sentence.fields[0]) });
  }
  return gathered;
}

/** The first day given in the log, s since 1970; it also applies to everything before. NaN when there is none. */
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

function takeFix(
  sentence: Sentence,
  line: number,
  clock: Clock,
  gathered: { fixes: Fix[]; lost: Lost[] },
  raw: string,
  file: string,
  context: ReaderContext,
): void {
  const { kind, talker, fields } = sentence;
  const [clockAt, latAt, isValid] = {
    GGA: [0, 1, /^[1-9]$/.test(fields[5] ?? '')] as const,
    RMC: [0, 2, fields[1] === 'A'] as const,
    GLL: [4, 0, (fields[5] ?? 'A') === 'A'] as const,
    ZDA: [0, -1, true] as const,
  }[kind as 'GGA']!;
  const second = clockOf(fields[clockAt] ?? '');
  const day = dateIn(sentence);
  if (!Number.isNaN(day)) clock.midnight = day;
  else if (clock.last - second > 43_200) clock.midnight += 86_400;
  if (!Number.isNaN(second)) clock.last = second;
  if (latAt < 0) return;
  const source = `${talker}${kind}`;
  if (!isValid) {
    gathered.lost.push({ source, line });
    return;
  }
  const [latText, ns, lonText, ew] = fields.slice(latAt, latAt + 4);
  const lat = anglesOf(latText ?? '', ns ?? '', 2);
  const lon = anglesOf(lonText ?? '', ew ?? '', 3);
  if (Number.isNaN(lat) || Number.isNaN(lon)) {
    context.report(says.sentence({ file, line }, raw.trim()));
    gathered.lost.push({ source, line });
    return;
  }
  const time = Number.isNaN(second) ? Number.NaN : clock.midnight + second;
  gathered.fixes.push({ source, line, lat, lon, time, isDated: clock.isDated });
}

/**
 * Depth from meters, else feet, else fathoms. The offset of DPT leads to the waterline where it is positive, and to the
 * keel where it is negative; the depth is below the transducer in any case.
 */
function depthOf({ kind, talker, fields }: Sentence, line: number): Depth {
  const source = `${talker}${kind}`;
  if (kind === 'DPT') {
    const offset = numberOf(fields[1]);
    return { source, line, depth: numberOf(fields[0]), ...(offset > 0 ? { offset } : {}) };
  }
  const units = { f: METERS_PER.ft, M: METERS_PER.m, F: METERS_PER.fm };
  const values = [2, 0, 4].map((at) => numberOf(fields[at]) * (units[fields[at + 1] as 'f'] ?? Number.NaN));
  return {
    source,
    line,
    depth: values.find((value) => !Number.isNaN(value)) ?? Number.NaN,
  };
}

/**
 * Values from the source with the most of them. Among sources with at least half as many, the kind of sentence decides.
 */
function ofOneSource<T extends { readonly source: string }>(
  all: readonly T[],
  what: 'positions' | 'depths',
  order: readonly string[],
  file: string,
  context: ReaderContext,
): readonly T[] {
  const counts = new Map<string, number>();
  for (const { source } of all) counts.set(source, (counts.get(source) ?? 0) + 1);
  const most = Math.max(...counts.values());
  const rank = (source: string): number => order.indexOf(source.slice(2));
  const [used] = [...counts]
    .filter(([, count]) => count * 2 >= most)
    .sort(([a, ofA], [b, ofB]) => rank(a) - rank(b) || ofB - ofA || (a < b ? -1 : 1))[0];
  const others = [...counts.keys()].filter((source) => source !== used);
  if (others.length > 0) context.report(says[`several-${what}`]({ file }, used, others));
  return all.filter(({ source }) => source === used);
}

/** The level from which depths are measured, from the sentences or their offsets. */
function referenceOf([{ source }]: readonly Depth[], offset: number | undefined): DepthReference {
  if (source.endsWith('DBS') || offset !== undefined) return 'surface';
  return source.endsWith('DBK') ? 'keel' : 'transducer';
}

/** Longest time between two fixes over which depths are spread, s. */
const LONGEST_GAP = 10;

/** Places depths between fixes: the first after a fix at that fix, the others evenly up to the next fix. */
function place(
  depths: readonly Depth[],
  fixes: readonly Fix[],
  gathered: Gathered,
  file: string,
  context: ReaderContext,
): ReadSoundings {
  const rows = {
    lat: [] as number[],
    lon: [] as number[],
    depth: [] as number[],
    time: [] as number[],
    line: [] as number[],
    celsius: [] as number[],
  };
  const { temperatures } = gathered;
  const offset = depths.find((depth) => depth.offset !== undefined)?.offset;
  if (offset !== undefined) context.report(says['depth-offset']({ file }, depths[0].source, offset));
  const lost = gathered.lost.filter(({ source }) => source === fixes[0].source).map(({ line }) => line);
  let fix = -1;
  let warm = -1;
  let loss = 0;
  for (let first = 0; first < depths.length; ) {
    while (fix + 1 < fixes.length && fixes[fix + 1].line < depths[first].line) fix++;
    const until = fixes[fix + 1]?.line ?? Number.POSITIVE_INFINITY;
    let end = first;
    while (end < depths.length && depths[end].line < until) end++;
    while (loss < lost.length && lost[loss] < (fixes[fix]?.line ?? 0)) loss++;
    const lostAt = lost[loss] ?? Number.POSITIVE_INFINITY;
    const [from, to] = [fixes[fix], fixes[fix + 1]];
    const isSpread = from !== undefined && to !== undefined && to.time - from.time <= LONGEST_GAP;
    for (let i = first; i < end; i++) {
      const { line, depth, offset: own = offset ?? 0 } = depths[i];
      const share = (i - first) / (end - first);
      if (Number.isNaN(depth)) context.drop(soundings['no-depth']({ file, line }, ''));
      else if (from === undefined || line > lostAt || (share > 0 && !isSpread))
        context.drop(soundings['no-fix']({ file, line }));
      else {
        while (warm + 1 < temperatures.length && temperatures[warm + 1].line < line) warm++;
        const along = (a: number, b: number | undefined): number => (share === 0 ? a : a + share * (b! - a));
        rows.lat.push(along(from.lat, to?.lat));
        rows.lon.push(along(from.lon, to === undefined ? undefined : nearLon(from.lon, to.lon)));
        rows.time.push(along(from.time, to?.time));
        rows.depth.push(depth + own);
        rows.line.push(line);
        rows.celsius.push(temperatures[warm]?.celsius ?? Number.NaN);
      }
    }
    first = end;
  }
  return {
    lat: Float64Array.from(rows.lat),
    lon: Float64Array.from(rows.lon, (lon) => (lon > 180 ? lon - 360 : lon < -180 ? lon + 360 : lon)),
    depth: Float64Array.from(rows.depth),
    time: Float64Array.from(rows.time),
    line: Uint32Array.from(rows.line),
    ...(temperatures.length > 0 ? { temperature: Float32Array.from(rows.celsius) } : {}),
    depthUnit: 'm',
    vertical: 'down',
    depthFrom: referenceOf(depths, offset),
  };
}

/** The longitude of a place on the same side of the antimeridian as another. */
const nearLon = (from: number, to: number): number => to - 360 * Math.round((to - from) / 360);
