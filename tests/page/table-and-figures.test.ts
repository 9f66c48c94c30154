import { readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { parseString } from 'fast-csv';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { geodesicInverse } from '../../shared/geo/geodesic.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { gpxOf, makeFolder, runProgram, write } from '../cli/run-program.ts';
import { distanceToLines, pathsOf, placeOf, readPath, rootData } from './read-figure.ts';
import { sampleReport } from './sample-lake.ts';

const COUNT = 9;
const SIDES = [
  ['downslope', 'D'],
  ['upslope', 'U'],
] as const;

type Row = Readonly<Record<string, string>>;

describe('figures and table of one run', () => {
  const folder = makeFolder();
  let rows: Row[] = [];
  let figures: string[] = [];

  beforeAll(async () => {
    const { waypoints, survey } = sampleReport(COUNT);
    const lines = Array.from(
      { length: survey.count },
      (_, i) => `${survey.lat[i].toFixed(7)},${survey.lon[i].toFixed(7)},${survey.depth[i].toFixed(2)}`,
    );
    write(folder, 'log.csv', `lat,lon,depth_m\n${lines.join('\n')}\n`);
    write(
      folder,
      'marks.gpx',
      gpxOf(
        waypoints.map(({ waypoint }) => ({
          name: waypoint.name,
          lat: waypoint.lat,
          lon: waypoint.lon,
          comment: 'fish 5-6 m',
        })),
      ),
    );
    const { status, stderr } = runProgram(
      'enrich marks.gpx --soundings log.csv --units m --table table.csv --svg svg --report page.html'.split(
        ' ',
      ),
      { cwd: folder },
    );
    expect(stderr).not.toContain('bug in downslope');
    expect(status).toBe(0);
    rows = await readRows(readFileSync(join(folder, 'table.csv'), 'utf8'));
    figures = readdirSync(join(folder, 'svg'));
  });

  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  const figure = (index: number, kind: string): string => {
    const start = String(index + 1).padStart(3, '0');
    const name = figures.find((each) => each.startsWith(`${start}-`) && each.endsWith(`-${kind}.svg`));
    return name === undefined ? '' : readFileSync(join(folder, 'svg', name), 'utf8');
  };

  test('boat symbols are where the table says, on the isobath of their depth', () => {
    let boats = 0;
    let drawn = 0;
    rows.forEach((row, i) => {
      const svg = figure(i, 'plan');
      const { west, north, scale } = rootData(svg);
      const frame = localFrame(Number(row.lat), Number(row.lon));
      for (const [side, letter] of SIDES) {
        if (row[`${side}_lat`] === '') continue;
        boats += 1;
        const place = placeOf(svg, `data-boat="${letter}"`);
        const [lat, lon] = frame.toGeographic(west + place[0] / scale, north - place[1] / scale);
        const off = geodesicInverse(
          Number(row[`${side}_lat`]),
          Number(row[`${side}_lon`]),
          lat,
          lon,
        ).distance;
        // Rounding by half of the last decimal, in the figure (0.05 units) and in the table.
        expect(off).toBeLessThan(0.05);
        // Between nodes 6 m apart the drawn isobath is straight and the modeled one is not: up to about 1 m
        // apart on gentle ground.
        const lines = pathsOf(svg, /class="own"/).map((d) => distanceToLines(place, readPath(d)) / scale);
        // A boat on the deepest node, as off a hump on level ground, has no isobath to draw.
        if (lines.length === 0) continue;
        drawn += 1;
        expect(Math.min(...lines)).toBeLessThan(1);
      }
    });
    expect(boats).toBeGreaterThan(4);
    expect(drawn).toBeGreaterThan(4);
  });

  test('a side view is drawn for each cast in the table, at its length and depths', () => {
    rows.forEach((row, i) => {
      for (const [side, letter] of SIDES) {
        const svg = figure(i, side);
        expect(svg === '').toBe(row[`${side}_lat`] === '');
        if (svg === '') continue;
        const { left, surface, across, down } = rootData(svg);
        const [boat, landing] = [
          placeOf(svg, `data-boat="${letter}"`),
          placeOf(svg, `data-landing="${letter}"`),
        ];
        expect((landing[0] - boat[0]) / across).toBeCloseTo(Number(row[`${side}_cast_m`]), 0);
        const bottom = readPath(pathsOf(svg, /class="bottom"/)[0]).flat();
        expect(bottom[0][0]).toBeCloseTo(left, 0);
        expect((bottom[0][1] - surface) / down).toBeCloseTo(Number(row[`${side}_depth_m`]), 1);
        const last = bottom[bottom.length - 1];
        expect((last[1] - surface) / down).toBeCloseTo(Number(row[`${side}_landing_depth_m`]), 1);
      }
    });
  });

  test('the page shows every waypoint of the table with a plan view and a side view', () => {
    const html = readFileSync(join(folder, 'page.html'), 'utf8');
    expect(rows).toHaveLength(COUNT);
    rows.forEach((row, i) => {
      const section = html.slice(html.indexOf(`id="spot-${i + 1}"`)).replace(/<\/section>.*/s, '');
      expect(section).toContain(row.waypoint);
      expect(section).toContain('data-figure="plan"');
      expect(section).toMatch(/data-figure="side-/);
    });
  });
});

const readRows = (text: string): Promise<Row[]> =>
  new Promise((resolve, reject) => {
    const read: Row[] = [];
    parseString(text, { headers: true })
      .on('data', (row: Row) => read.push(row))
      .on('error', reject)
      .on('end', () => resolve(read));
  });
