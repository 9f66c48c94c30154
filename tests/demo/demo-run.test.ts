import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { parseString } from 'fast-csv';
import { afterAll, describe, expect, test } from 'vitest';
import { LAKE_ORIGIN, makeDemoLake } from '../../fixtures/demo/demo-lake.ts';
import { writeDemo } from '../../fixtures/demo/make-demo.ts';
import { DEMO_DATE, waterLevel } from '../../fixtures/demo/sonar-plan.ts';
import { METERS_PER } from '../../shared/contract/units.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { runProgram } from '../cli/run-program.ts';
import { medianSlack, namedPlaces } from '../day/named-places.ts';

const readme = readFileSync(resolve(import.meta.dirname, '../../README.md'), 'utf8');

/** Finds in the README the command that begins with a word, and the output lines shown below the command. */
function shownRun(command: string): { command: string[]; lines: string[] } {
  const block = new RegExp(`\`\`\`\\n\\$ npx downslope (${command} [^\\n]*)\\n(.*?)\`\`\``, 's').exec(readme);
  const lines = (block?.[2] ?? '').split('\n').filter((line) => line !== '' && line !== '...');
  return { command: (block?.[1] ?? '').split(' '), lines };
}

/** Checks that every line shown is printed, in the same order; other lines may come in between. */
function expectShown(lines: readonly string[], output: string): void {
  const printed = output.split('\n').map((line) => line.trimEnd());
  let from = 0;
  for (const line of lines) {
    const at = printed.indexOf(line, from);
    expect(at, line).toBeGreaterThanOrEqual(from);
    from = at + 1;
  }
}

const cwd = mkdtempSync(join(tmpdir(), 'downslope-demo-'));
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

const inFolder = (name: string): string => join(cwd, 'out', 'demo', name);
mkdirSync(inFolder(''), { recursive: true });
writeDemo(inFolder(''));
/** The run shown in the README, which is the one tested. */
const spots = shownRun('enrich');
const result = runProgram(spots.command, { cwd });

/** Marks on forms built into the lake, where the word is beyond doubt. */
const PLAIN_FORMS: Readonly<Record<string, string>> = {
  A1: 'point',
  E1: 'point',
  N1: 'point',
  A3: 'hump',
  F2: 'hump',
  F3: 'hump',
  K1: 'hump',
  M1: 'hump',
  F1: 'saddle',
  H1: 'channel-edge',
  H3: 'channel-edge',
  J1: 'channel-edge',
};

type Row = Readonly<Record<string, string>>;

const readRows = (file: string): Promise<Row[]> =>
  new Promise((resolve, reject) => {
    const read: Row[] = [];
    parseString(readFileSync(file, 'utf8'), { headers: true })
      .on('data', (row: Row) => read.push(row))
      .on('error', reject)
      .on('end', () => resolve(read));
  });

const rows = await readRows(inFolder('spots.csv'));

const lake = makeDemoLake();
const frame = localFrame(LAKE_ORIGIN.lat, LAKE_ORIGIN.lon);
const level = waterLevel(Date.parse(`${DEMO_DATE}T12:00:00Z`) / 1000);

/** Returns a depth of the table, m. */
const metersOf = (row: Row, column: string): number => Number(row[`${column}_ft`]) * METERS_PER.ft;

/** Returns the true depth at a place of the table on the day of the plan, m; undefined without a place. */
function trueDepth(lat: string, lon: string): number | undefined {
  if (lat === '' || lon === '') return undefined;
  const [east, north] = frame.toLocal(Number(lat), Number(lon));
  return lake.depth(east, north) + level;
}

const statusOf = (name: string): string | undefined => rows.find(({ waypoint }) => waypoint === name)?.status;

/** Boat positions on both sides with stated and true depth, m. */
const boats = rows.flatMap((row) =>
  (['downslope', 'upslope'] as const).flatMap((side) => {
    const truth = trueDepth(row[`${side}_lat`], row[`${side}_lon`]);
    return truth === undefined
      ? []
      : [{ name: `${row.waypoint} ${side}`, truth, claimed: metersOf(row, `${side}_depth`) }];
  }),
);

const rms = (errors: readonly number[]): number =>
  Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length);

describe('demo, run by the program and checked against the known bottom', () => {
  test('the program succeeds and gives every waypoint a row', () => {
    expect(result.status, result.stderr).toBe(0);
    expect(rows).toHaveLength(40);
  });

  test('it prints what the README shows, in the same order, with lines left out', () => {
    expect(spots.lines.length).toBeGreaterThan(15);
    expectShown(spots.lines, result.stderr);
    const day = shownRun('plan');
    const planned = runProgram(day.command, { cwd });
    expect(planned.status, planned.stderr).toBe(0);
    expect(day.lines.length).toBeGreaterThan(6);
    expectShown(day.lines, planned.stdout);
  });

  test('all but three waypoints are well covered, and the three say what is missing', () => {
    expect(rows.filter(({ status }) => status === 'ok').length).toBe(37);
    expect([statusOf('P1'), statusOf('P2'), statusOf('P3')]).toEqual(['one-pass', 'no-data', 'edge']);
  });

  test('depth at the waypoints is within 0.3 m of the true bottom, root mean square, at the level of the plan', () => {
    // L2 states a depth that is 8 ft off, so that the demo shows what happens then.
    const errors = rows
      .filter(({ status, waypoint }) => status === 'ok' && waypoint !== 'L2')
      .map((row) => metersOf(row, 'depth') - (trueDepth(row.lat, row.lon) ?? Number.NaN));
    expect(rms(errors)).toBeLessThan(0.3);
  });

  test('a mark with a depth that differs from the passes gets both, and its interval contains the true depth', () => {
    const row = rows.find(({ waypoint }) => waypoint === 'L2');
    if (row === undefined) throw new Error('the demo has no mark L2');
    const truth = trueDepth(row.lat, row.lon) ?? Number.NaN;
    expect(Math.abs(metersOf(row, 'pass_depth') - truth)).toBeLessThan(0.5);
    expect(metersOf(row, 'depth_low')).toBeLessThan(truth);
    expect(metersOf(row, 'depth_high')).toBeGreaterThan(truth);
  });

  test('most waypoints get a boat on the deep side, and no boat is in less water than the draft', () => {
    expect(boats.filter(({ name }) => name.endsWith('downslope')).length).toBeGreaterThanOrEqual(30);
    for (const { name, truth } of boats) expect(truth, name).toBeGreaterThan(0.9144);
  });

  test('true depth under the boats is within 0.5 m of the stated depth, root mean square', () => {
    expect(rms(boats.map(({ truth, claimed }) => truth - claimed))).toBeLessThan(0.5);
  });

  test('of twelve marks on clear forms at least eleven get the word of their form', () => {
    const right = Object.entries(PLAIN_FORMS).filter(
      ([name, word]) => rows.find(({ waypoint }) => waypoint === name)?.structure === word,
    );
    expect(right.length).toBeGreaterThanOrEqual(11);
  });

  test('a waypoint without soundings gets neither depth nor boat', () => {
    const row = rows.find(({ waypoint }) => waypoint === 'P2');
    for (const column of ['depth_ft', 'slope_deg', 'structure', 'downslope_lat', 'upslope_lat'])
      expect(row?.[column], column).toBeFalsy();
  });

  test('the GPX has every position named in the plan; each stop has a cast, and at least half the stops have 4 min to spare', async () => {
    const files = ['--csv', inFolder('day.csv'), '--gpx', inFolder('day.gpx')];
    const day = ['--ramp', '36.8864,-78.9778', '--date', '2025-10-12', '--marks', inFolder('marks.csv')];
    const planned = runProgram(['plan', inFolder('practice.enriched.gpx'), ...day, ...files]);
    expect(planned.status, planned.stderr).toBe(0);
    const stops = await readRows(inFolder('day.csv'));
    const { named, inGpx } = namedPlaces(stops, readFileSync(inFolder('day.gpx')));
    expect(stops.length).toBeGreaterThan(8);
    for (const name of named) expect(inGpx.has(name), name).toBe(true);
    for (const stop of stops) expect(stop.cast_mag_deg, stop.spot).not.toBe('');
    expect(medianSlack(stops)).toBeGreaterThanOrEqual(4);
  });

  test('every original mark, comment and foreign element is in the enriched file', () => {
    const before = readFileSync(inFolder('practice.gpx'), 'utf8');
    const after = readFileSync(inFolder('practice.enriched.gpx'), 'utf8');
    for (const [element] of before.matchAll(/<(name|desc|sym|time|unit:mark)\b.*?<\/\1>/g))
      expect(after).toContain(element);
    for (const [, comment] of before.matchAll(/<cmt>(.*?)<\/cmt>/g))
      expect(after).toContain(`<cmt>${comment}`);
  });
});
