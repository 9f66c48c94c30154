import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { simulateSurvey, toSoundings } from '../../fixtures/lakes/survey.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { makeFolder, runProgram, write } from './run-program.ts';

/** Humps on a square grid, 130 m apart; every mark with fish is on one. */
const humps = Array.from(
  { length: 16 },
  (_, i) => [130 * (i % 4) - 195, 130 * Math.floor(i / 4) - 195] as const,
);
const depth = (east: number, north: number): number =>
  humps.reduce((sum, [e, n]) => sum - 4 * Math.exp(-((east - e) ** 2 + (north - n) ** 2) / 650), 9);
const frame = localFrame(37, -86);

function lakeFolder(marks: number): string {
  const folder = makeFolder();
  const soundings = toSoundings(
    simulateSurvey({ depth }, { seed: 3, spacing: 20, radius: 290, noise: 0.03 }),
    37,
    -86,
  );
  const rows = Array.from({ length: soundings.count }, (_, k) =>
    [
      Math.round(soundings.time[k]),
      soundings.lat[k].toFixed(7),
      soundings.lon[k].toFixed(7),
      soundings.depth[k].toFixed(2),
    ].join(','),
  );
  write(folder, 'log.csv', `time,lat,lon,depth_m\n${rows.join('\n')}\n`);
  const waypoints = humps.slice(0, marks).map(([east, north], i) => {
    const [lat, lon] = frame.toGeographic(east, north);
    return `<wpt lat="${lat}" lon="${lon}"><name>A${i}</name><cmt>caught ${i + 1}</cmt></wpt>`;
  });
  write(
    folder,
    'marks.gpx',
    `<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">${waypoints.join('')}</gpx>`,
  );
  return folder;
}

describe('downslope prospect', () => {
  test('proposes the unmarked humps with casts, and recognizes its proposals in later inputs', () => {
    const folder = lakeFolder(9);
    const args = 'prospect marks.gpx --soundings log.csv --places 3 --gpx new.gpx --table new.csv'.split(' ');
    const first = runProgram(args, { cwd: folder });
    expect(first.status, first.stderr).toBe(0);
    expect(first.stdout).toMatch(/^\d of your 9 marks with fish are /);
    expect(first.stdout).toMatch(/^N1 /m);
    const gpx = readFileSync(join(folder, 'new.gpx'), 'utf8');
    expect(gpx.match(/<type>proposed place<\/type>/g)).toHaveLength(3);
    expect(gpx).toContain('Proposed place, not fished');
    expect(gpx).toContain('<type>boat position</type>');
    expect(readFileSync(join(folder, 'new.csv'), 'utf8')).toContain('Proposed place, not fished');
    // The earlier proposals are inputs now. They do not count as marks with fish, and are not proposed again.
    const again = runProgram([...args.slice(0, 2), 'new.gpx', ...args.slice(2, 6)], { cwd: folder });
    expect(again.status, again.stderr).toBe(0);
    expect(again.stdout.split('\n')[0]).toBe(first.stdout.split('\n')[0]);
    const placesOf = (text: string): string[] => text.match(/37\.\d+, -86\.\d+/g) ?? [];
    expect(placesOf(again.stdout).filter((place) => placesOf(first.stdout).includes(place))).toEqual([]);
    expect(again.stdout).toMatch(/^N4 /m);
  });

  test('with too few separate places it says so, ends with status 0 and writes no file', () => {
    const folder = lakeFolder(4);
    const { status, stderr } = runProgram(
      ['prospect', 'marks.gpx', '--soundings', 'log.csv', '--gpx', 'new.gpx'],
      { cwd: folder },
    );
    expect(status, stderr).toBe(0);
    expect(stderr).toContain(
      'only 4 marks with fish are on water that your sonar covered, and it takes 5 that are at least',
    );
    expect(existsSync(join(folder, 'new.gpx'))).toBe(false);
  });
});
