import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Lake, makeLake } from '../../fixtures/lakes/lake.ts';
import { type LocalSoundings, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import { type Diagnostic, formatDiagnostic, type Report } from '../../shared/contract/diagnostic.ts';
import type { CsvFile } from '../../shared/contract/options.ts';
import type { Soundings, Survey } from '../../shared/contract/soundings.ts';
import { type JoinedLog, joinLogs, joinSoundings } from '../../shared/engine/join-logs.ts';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';
import { runLogSteps, runSurveySteps } from '../../shared/engine/run-logs.ts';
import { type LocalFrame, localFrame } from '../../shared/geo/local-frame.ts';
import { soundSpeed } from '../../shared/survey/sound-speed.ts';
import { fileSource } from '../../src/formats/csv/byte-source.ts';
import { parseCsvBytes } from '../../src/formats/csv/csv-file.ts';
import { readFixes } from '../../src/formats/csv/fixes.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { readSource } from '../../src/formats/csv/sounding-logs.ts';
import { BUILT_IN } from '../../src/run/built-in.ts';
import type { Section } from '../sections.ts';

/** One day of the simulated survey. */
interface Day {
  readonly heading: number;
  /** Water level above the datum of the readings, m. */
  readonly level: number;
  /** Water temperature, deg C. */
  readonly temperature: number;
}

const DAYS: readonly Day[] = [
  { heading: 10, level: 100.0, temperature: 12 },
  { heading: 100, level: 100.45, temperature: 16 },
  { heading: 55, level: 99.7, temperature: 20 },
  { heading: 145, level: 100.8, temperature: 23 },
  { heading: 80, level: 99.4, temperature: 26 },
];
/** Water level of the plan, m, at which the simulated bottom has its depths. */
const PLAN_LEVEL = 100;
const LAT = 45;
const LON = -93;
const START = 1_717_232_400; // 2024-06-01T09:00:00Z
const DAY = 86400;
/** Speed of sound assumed by the sonar, m/s. */
const ASSUMED = 1500;
/** Draft of the transducer, m. */
const DRAFT = 0.4;
/** Latency of positions from the sonar's own receiver, s; the track of the fourth day has none. */
const LAG = 1.3;
/** Idle speed of the simulated boat, m/s. */
const SPEED = 2.2;
/** Time by which the sonar's clock is slow on the fourth day, s. The log of that day has no positions. */
const CLOCK = 23;
const SPIKES = 0.01;
/** Index of the day whose log is in feet without a label. */
const OTHER_UNIT = 2;
/** Radius of the survey around the center of the lake, m. */
const RADIUS = 300;

/**
 * Compares depth errors of a simulated five-day survey: with faults corrected, with faults left in, without
 * faults.
 */
export const section: Section = {
  name: 'intake',
  async run(print) {
    const folder = mkdtempSync(join(tmpdir(), 'intake-'));
    try {
      for (const seed of [1, 2, 3]) await compare(seed, folder, print);
    } finally {
      rmSync(folder, { recursive: true });
    }
  },
};

async function compare(seed: number, folder: string, print: (line: string) => void): Promise<void> {
  const lake = makeLake({ seed: 900 + seed, perWord: 1 });
  const clean = writeLogs(lake, seed, join(folder, `clean${seed}-`), false);
  const faulty = writeLogs(lake, seed, join(folder, `faulty${seed}-`), true);
  const levels = await parseCsvBytes(Buffer.from(levelReadings()), 'levels.csv');
  const fixes = await readFixes([await fileSource(faulty.track)], () => {});
  const said: Diagnostic[] = [];
  const faultless = await read(clean.logs, {}, onlyReduced());
  const reduced = await read(faulty.logs, { fixes, depthUnit: 'm' }, everything(levels), (d) => said.push(d));
  const raw = await read(faulty.logs, { fixes, depthUnit: 'm', clockOffset: 0 }, onlyReduced());
  const errors = [faultless, reduced, raw].map((survey) => rmse(survey, lake));
  print(
    `survey ${seed}: depth RMSE without faults ${meters(errors[0])}, with faults corrected ${meters(errors[1])} (${((errors[1] / errors[0] - 1) * 100).toFixed(0)} % more; goal at most 15), not corrected ${meters(errors[2])} (${(errors[2] / errors[0]).toFixed(1)} times; without the file in another unit ${(rmse(raw, lake, OTHER_UNIT) / errors[0]).toFixed(1)} times)`,
  );
  if (seed > 1) return;
  print('  messages about the first survey:');
  for (const d of said)
    if (d.severity !== 'note' || /lag|clock/.test(d.code))
      print(`  ${formatDiagnostic(d).replaceAll(folder, '')}`);
}

const meters = (value: number): string => `${value.toFixed(3)} m`;

/** Options of a user who knows the boat. */
const everything = (levels: CsvFile) =>
  new Map<string, Record<string, unknown>>([
    ['draft-offset', { draft: DRAFT }],
    ['sound-speed', { on: true, assumed: ASSUMED }],
    ['water-level', { levels, today: PLAN_LEVEL, date: '2024-06-06' }],
    ['ties', { correctLag: true }],
  ]);

/** Options that leave only passes and blocks. */
const onlyReduced = () =>
  new Map<string, Record<string, unknown>>(
    ['position-jumps', 'draft-offset', 'sound-speed', 'despike', 'duplicates', 'ties', 'water-level'].map(
      (name) => [name, { on: false, date: '2024-06-06' }],
    ),
  );

async function read(
  files: readonly string[],
  changes: Partial<ReaderOptions>,
  options: ReadonlyMap<string, Record<string, unknown>>,
  report: Report = () => {},
): Promise<Survey> {
  const plugins = BUILT_IN.filter(({ stage }) => stage === 'log' || stage === 'survey');
  const pipeline = planPipeline(plugins, options);
  const logs: JoinedLog[] = [];
  for (const file of files) {
    const parts: Soundings[] = [];
    const reading = readSource(await fileSource(file), defaultReaderOptions(changes), report);
    let next = await reading.next();
    while (!next.done) {
      parts.push(runLogSteps(next.value, pipeline.log, report).soundings);
      next = await reading.next();
    }
    logs.push({ file, account: next.value, soundings: joinSoundings(parts) });
  }
  return runSurveySteps(joinLogs(logs), [], pipeline.survey, report);
}

/**
 * Returns the root mean square depth error of the blocks of a survey, m, without those off the lake and of
 * one log.
 */
function rmse(survey: Survey, lake: Lake, leftOut = -1): number {
  const frame = frameOf();
  let sum = 0;
  let blocks = 0;
  for (let i = 0; i < survey.count; i++) {
    if (survey.log[i] === leftOut) continue;
    const [east, north] = frame.toLocal(survey.lat[i], survey.lon[i]);
    if (Math.hypot(east - lake.width / 2, north - lake.height / 2) > RADIUS + 20) continue;
    sum += (survey.depth[i] - lake.depth(east, north)) ** 2;
    blocks++;
  }
  return Math.sqrt(sum / blocks);
}

const frameOf = (): LocalFrame => localFrame(LAT, LON);

const levelReadings = (): string =>
  `time,level_m\n${DAYS.map(({ level }, i) => `${new Date((START + i * DAY) * 1000).toISOString()},${level}\n${new Date((START + i * DAY + 43_200) * 1000).toISOString()},${level}`).join('\n')}\n`;

/**
 * Writes five days of logs. With faults, each day has a different format, and the fourth is a track and a
 * separate log.
 */
function writeLogs(
  lake: Lake,
  seed: number,
  prefix: string,
  isFaulty: boolean,
): { logs: string[]; track: string } {
  const logs: string[] = [];
  const track = `${prefix}track.gpx`;
  for (const [i, day] of DAYS.entries()) {
    const rows = simulateSurvey(lake, {
      seed: seed * 100 + i,
      // The fourth day crosses its own passes, because its clock offset is found where places are sounded
      // again.
      spacing: i === 3 ? 60 : 30,
      crossed: i === 3,
      heading: day.heading,
      center: [lake.width / 2, lake.height / 2],
      radius: RADIUS,
      step: 0.8,
      // `lag` is how far positions lead the depths, so a delay is negative.
      lag: isFaulty && i !== 3 ? -LAG * SPEED : 0,
    });
    const file = `${prefix}${i + 1}.csv`;
    const time = (row: number) => START + i * DAY + rows.time[row];
    if (isFaulty && i === 3) writeFileSync(track, gpxOf(rows, time));
    writeFileSync(
      file,
      isFaulty
        ? FORMS[i](rows, time, shownDepth(rows, day, seed + i), day)
        : plainForm(rows, time, (row) => rows.depth[row], day),
    );
    logs.push(file);
  }
  return { logs, track };
}

/**
 * Returns the depths that the sonar shows: below the transducer, at the day's water level, with the wrong
 * speed of sound and with spikes.
 */
function shownDepth(rows: LocalSoundings, day: Day, seed: number): (row: number) => number {
  let state = (seed * 2_654_435_761) >>> 0;
  const uniform = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 2 ** 32;
  };
  return (row) => {
    const true_ = rows.depth[row] + day.level - PLAN_LEVEL - DRAFT;
    const shown = Math.max(0, (true_ * ASSUMED) / soundSpeed(day.temperature));
    if (uniform() >= SPIKES) return shown;
    return shown * [0, 0.5, 2, 3][Math.floor(4 * uniform())];
  };
}

type Form = (
  rows: LocalSoundings,
  time: (row: number) => number,
  depth: (row: number) => number,
  day: Day,
) => string;

const lines = (
  rows: LocalSoundings,
  header: string,
  row: (i: number, lat: number, lon: number) => string,
): string => {
  const frame = frameOf();
  const text = Array.from({ length: rows.count }, (_, i) =>
    row(i, ...frame.toGeographic(rows.east[i], rows.north[i])),
  );
  return `${header}\n${text.join('\n')}\n`;
};

const iso = (seconds: number): string => new Date(seconds * 1000).toISOString();
const fahrenheit = ({ temperature }: Day): string => (temperature * 1.8 + 32).toFixed(1);

const plainForm: Form = (rows, time, depth, day) =>
  lines(
    rows,
    'time,lat,lon,depth_m,temp_f',
    (i, lat, lon) =>
      `${iso(time(i))},${lat.toFixed(7)},${lon.toFixed(7)},${depth(i).toFixed(3)},${fahrenheit(day)}`,
  );

/**
 * One format per day: feet and stray fixes; a European spreadsheet; unlabeled feet; no positions; Unix time
 * in ms with every fifth row repeated.
 */
const FORMS: readonly Form[] = [
  (rows, time, depth, day) =>
    lines(rows, 'lat,lon,Depth (ft),time,Temp (F)', (i, lat, lon) => {
      const isStray = i % 3000 < 4;
      return `${(isStray ? lat + 0.05 : lat).toFixed(7)},${lon.toFixed(7)},${(depth(i) / 0.3048).toFixed(2)},${iso(time(i))},${fahrenheit(day)}`;
    }),
  (rows, time, depth, day) =>
    lines(rows, 'Date;Time;Latitude;Longitude;Depth_m;Temp_C', (i, lat, lon) => {
      const at = iso(time(i));
      return [
        at.slice(0, 10),
        at.slice(11, 23),
        lat.toFixed(7),
        lon.toFixed(7),
        depth(i).toFixed(2),
        day.temperature.toFixed(1),
      ]
        .map((field) => field.replace('.', ','))
        .join(';');
    }),
  (rows, time, depth, day) =>
    lines(
      rows,
      'time,lat,lon,depth,temp_c',
      (i, lat, lon) =>
        `${iso(time(i))},${lat.toFixed(7)},${lon.toFixed(7)},${(depth(i) / 0.3048).toFixed(2)},${day.temperature}`,
    ),
  (rows, time, depth, day) =>
    lines(
      rows,
      'time,depth_m,temp_c',
      (i) => `${iso(time(i) - CLOCK)},${depth(i).toFixed(2)},${day.temperature}`,
    ),
  (rows, time, depth, day) =>
    lines(rows, 'unix,lat,lon,depth_m,temp_c'.replace('unix', 'timestamp'), (i, lat, lon) => {
      const row = `${(time(i) * 1000).toFixed(0)},${lat.toFixed(7)},${lon.toFixed(7)},${depth(i).toFixed(2)},${day.temperature}`;
      return i % 5 === 0 ? `${row}\n${row}` : row;
    }),
];

/** Formats the track of a separate receiver on the fourth day, with a point for every second row. */
function gpxOf(rows: LocalSoundings, time: (row: number) => number): string {
  const frame = frameOf();
  const points: string[] = [];
  for (let i = 0; i < rows.count; i += 2) {
    const [lat, lon] = frame.toGeographic(rows.east[i], rows.north[i]);
    points.push(
      `<trkpt lat="${lat.toFixed(7)}" lon="${lon.toFixed(7)}"><time>${iso(time(i))}</time></trkpt>`,
    );
  }
  return `<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="made" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>\n${points.join('\n')}\n</trkseg></trk></gpx>\n`;
}
