import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { type Diagnostic, Refusal } from '../../shared/contract/diagnostic.ts';
import type { SoundingLog } from '../../shared/contract/soundings.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { fileSource } from '../../src/formats/csv/byte-source.ts';
import { type Fixes, readFixes, sortFixes } from '../../src/formats/csv/fixes.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { readSource } from '../../src/formats/csv/sounding-logs.ts';
import { readText } from './read-text.ts';

const folder = mkdtempSync(join(tmpdir(), 'tracks-'));
afterAll(() => rmSync(folder, { recursive: true }));

function save(name: string, text: string): string {
  const file = join(folder, name);
  writeFileSync(file, text);
  return file;
}

async function readFile(file: string, changes: Partial<ReaderOptions> = {}) {
  const said: Diagnostic[] = [];
  const reading = readSource(await fileSource(file), defaultReaderOptions(changes), (d) => said.push(d));
  const parts: SoundingLog[] = [];
  let next = await reading.next();
  while (!next.done) {
    parts.push(next.value);
    next = await reading.next();
  }
  return { parts, said, account: next.value, codes: said.map(({ code }) => code.replace('soundings/', '')) };
}

const point = (lat: number, lon: number, inside: string) =>
  `<trkpt lat="${lat}" lon="${lon}">${inside}</trkpt>`;
const gpx = (segments: readonly string[]) =>
  `<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1" xmlns:n="urn:x:n"><trk>${segments
    .map((points) => `<trkseg>${points}</trkseg>`)
    .join('')}</trk></gpx>`;
const time = (seconds: number) => `<time>${new Date((1_700_000_000 + seconds) * 1000).toISOString()}</time>`;
const depth = (text: string, unit = ' unit="m"') =>
  `<extensions><n:depth${unit}>${text}</n:depth></extensions>`;

describe('GPX tracks with depths', () => {
  test('track points with a depth in any namespace are soundings, in the unit they state', async () => {
    const points = [
      point(45, -93, time(0) + depth('3.5')),
      point(45.00001, -93, time(1) + depth('10 ft')),
      point(45.00002, -93, time(2)),
      point(45.00003, -93, time(3) + depth('0')),
    ].join('');
    const { parts, account, codes } = await readFile(save('a.gpx', gpx([points])));
    expect(Array.from(parts[0].depth)).toEqual([3.5, 3.048].map((d) => expect.closeTo(d, 4)));
    expect(Array.from(parts[0].time)).toEqual([1_700_000_000, 1_700_000_001]);
    expect(account).toEqual({
      read: 4,
      used: 2,
      dropped: { 'soundings/lost-bottom': 1, 'soundings/no-depth': 1 },
    });
    expect(codes).toEqual(['no-depth', 'lost-bottom']);
  });

  test('a depth without a unit is refused, and --depth-unit supplies the unit', async () => {
    const file = save('unit.gpx', gpx([point(45, -93, depth('10', '')) + point(45.00001, -93, depth('3'))]));
    await expect(readFile(file)).rejects.toThrow(/--depth-unit/);
    const { parts } = await readFile(file, { depthUnit: 'ft' });
    expect(Array.from(parts[0].depth)).toEqual([3.048, 3].map(Math.fround));
  });

  test('with --ele-is-depth elevations are negative depths, and a separate depth takes precedence', async () => {
    const points = [
      point(45, -93, '<ele>-4.5</ele>'),
      point(45.00001, -93, `<ele>-9</ele>${depth('5')}`),
      point(45.00002, -93, '<ele>2</ele>'),
      point(45.00003, -93, ''),
    ].join('');
    const file = save('ele.gpx', gpx([points]));
    const { parts, account, said } = await readFile(file, { eleIsDepth: true });
    expect(said.find(({ code }) => code === 'soundings/depth-sign')?.message).toBe(
      'Row dropped: elevation "2" is above 0, which counts as the water surface.',
    );
    expect(Array.from(parts[0].depth)).toEqual([4.5, 5]);
    expect(account.dropped).toEqual({ 'soundings/depth-sign': 1, 'soundings/no-depth': 1 });
    expect((await readFile(file)).parts[0].count).toBe(1);
  });

  test('a message about a depth quotes the depth as written', async () => {
    const tooShallow = '<extensions><n:depth unit="ft">-4</n:depth></extensions>';
    const { said } = await readFile(save('feet.gpx', gpx([point(45, -93, tooShallow)])));
    expect(said.find(({ code }) => code === 'soundings/depth-sign')?.message).toBe(
      'Row dropped: depth "-4" is negative.',
    );
  });

  test('every segment is a separate pass', async () => {
    const run = (from: number) =>
      Array.from({ length: 3 }, (_, i) => point(45 + (from + i) * 1e-5, -93, depth('3'))).join('');
    const { parts } = await readFile(save('b.gpx', gpx([run(0), run(3)])));
    expect(Array.from(parts[0].pass)).toEqual([0, 0, 0, 1, 1, 1]);
  });

  test('consecutive segments of one point form one pass, because some programs write every point as a segment', async () => {
    const at = (i: number): string => point(45 + i * 1e-5, -93, depth('3'));
    const { parts } = await readFile(save('points.gpx', gpx([at(0), at(1), at(2), at(3) + at(4), at(5)])));
    expect(Array.from(parts[0].pass)).toEqual([0, 0, 0, 3, 3, 4]);
  });

  test('segments with the newest point first are sorted by time, each separately', async () => {
    const run = (from: number) =>
      Array.from({ length: 12 }, (_, i) =>
        point(45 + (from + i) * 1e-5, -93, `${time(from + i)}${depth(`${from + i + 3}`)}`),
      ).toReversed();
    const { parts, codes } = await readFile(save('newest.gpx', gpx([run(20).join(''), run(0).join('')])));
    expect(Array.from(parts[0].depth)).toEqual(
      [20, 0].flatMap((from) => Array.from({ length: 12 }, (_, i) => from + i + 3)),
    );
    expect(Array.from(parts[0].pass)).toEqual([...Array(12).fill(0), ...Array(12).fill(1)]);
    expect(codes).toContain('time-order');
  });

  test('a track without depths gives no soundings and is reported', async () => {
    const { account, codes } = await readFile(save('c.gpx', gpx([point(45, -93, time(0))])));
    expect(account.used).toBe(0);
    expect(codes).toContain('no-soundings');
  });

  test('GPX in a file named .csv is read as GPX', async () => {
    const { account } = await readFile(save('d.csv', gpx([point(45, -93, depth('3'))])));
    expect(account.used).toBe(1);
  });

  test('a .gpx file that is not GPX is refused, and so is a missing one', async () => {
    await expect(readFile(save('e.gpx', 'lat,lon,depth_m\n45,-93,3\n'))).rejects.toThrow(Refusal);
    await expect(readFile(join(folder, 'missing.gpx'))).rejects.toThrow('there is no such file');
  });
});

/** Returns fixes every 2 s along a path in east and north meters. */
function fixesAlong(
  path: (t: number) => readonly [number, number],
  seconds: number,
  from = 1_700_000_000,
): Fixes {
  const frame = localFrame(45, -93);
  const times = Array.from({ length: Math.floor(seconds / 2) }, (_, i) => i * 2);
  const places = times.map((t) => frame.toGeographic(...path(t)));
  return sortFixes({
    time: times.map((t) => from + t),
    lat: places.map((place) => place[0]),
    lon: places.map((place) => place[1]),
    segment: times.map(() => 0),
  });
}

const timedLog = (rows: readonly (readonly [time: number, depth: number])[]) =>
  `time,depth_m\n${rows.map(([t, d]) => `${(1_700_000_000 + t).toFixed(2)},${d.toFixed(2)}`).join('\n')}\n`;

describe('logs without positions on tracks', () => {
  test('a sounding is placed between the fixes before and after it', async () => {
    const fixes = fixesAlong((t) => [0, 2 * t], 100);
    const { rows } = await readText(timedLog([[7.5, 3.25]]), { fixes, clockOffset: 0 });
    const [, north] = localFrame(45, -93).toLocal(rows[0].lat, rows[0].lon);
    expect(north).toBeCloseTo(15, 3);
    expect(rows[0].time).toBe(1_700_000_007.5);
  });

  test('soundings outside the tracks, in their gaps and between segments are dropped and counted', async () => {
    const fixes = sortFixes({
      time: [0, 10, 100, 110, 115],
      lat: [45, 45.0001, 45.001, 45.0011, 45.0012],
      lon: [-93, -93, -93, -93, -93],
      segment: [0, 0, 0, 0, 1],
    });
    const at = (t: number) => [t, 3] as const;
    const shifted = { ...fixes, time: fixes.time.map((t) => t + 1_700_000_000) };
    const text = timedLog([at(-5), at(5), at(50), at(105), at(112), at(115), at(120)]);
    const { rows, account } = await readText(text, { fixes: shifted, clockOffset: 0 });
    expect(rows.map((row) => row.time - 1_700_000_000)).toEqual([5, 105, 115]);
    expect(account?.dropped).toEqual({ 'soundings/off-track': 4 });
  });

  test('the position of a boat at rest is known over longer gaps', async () => {
    const fixes = sortFixes({
      time: [1_700_000_000, 1_700_000_300],
      lat: [45, 45.00001],
      lon: [-93, -93],
      segment: [0, 0],
    });
    expect((await readText(timedLog([[150, 3]]), { fixes, clockOffset: 0 })).rows).toHaveLength(1);
  });

  test('--clock-offset is added to the times, and reported', async () => {
    const fixes = fixesAlong((t) => [0, 2 * t], 100);
    const { rows, codes } = await readText(timedLog([[7.5, 3.25]]), { fixes, clockOffset: -3600 + 20 });
    expect(rows).toHaveLength(0);
    expect(codes).toContain('clock-offset');
    const moved = await readText(timedLog([[7.5, 3.25]]), { fixes, clockOffset: 20 });
    expect(localFrame(45, -93).toLocal(moved.rows[0].lat, moved.rows[0].lon)[1]).toBeCloseTo(55, 3);
  });

  test('an offset of 37 s is estimated from places passed again, and reported', async () => {
    // Loops that cross themselves over slopes.
    const path = (t: number) => [70 * Math.sin(t / 41), 90 * Math.sin(t / 67)] as const;
    const bottom = ([east, north]: readonly [number, number]) =>
      8 + 3 * Math.sin(north / 25) + 2 * Math.cos(east / 17);
    const fixes = fixesAlong(path, 2400);
    const rows = Array.from(
      { length: 4400 },
      (_, i) => [i * 0.5 + 120 - 37, bottom(path(i * 0.5 + 120))] as const,
    );
    const result = await readText(timedLog(rows), { fixes });
    const said = result.diagnostics.find(({ code }) => code === 'soundings/clock-offset');
    expect(said?.severity).toBe('warning');
    expect(said?.message).toContain('behind');
    const found = Number(/([\d.]+) s behind/.exec(said!.message)![1]);
    expect(Math.abs(found - 37)).toBeLessThan(1);
  });

  test('when two offsets fit equally well, none is applied', async () => {
    // Back and forth on one line: half a round later, the boat is at the mirrored position.
    const path = (t: number) => {
      const way = (t * 2) % 400;
      return [0, way < 200 ? way : 400 - way] as const;
    };
    const fixes = fixesAlong(path, 1200);
    const rows = Array.from({ length: 2200 }, (_, i) => {
      const t = i * 0.5 + 20;
      return [t - 37, 8 + 3 * Math.sin(path(t)[1] / 15) + 0.01 * path(t)[1]] as const;
    });
    expect((await readText(timedLog(rows), { fixes })).codes).not.toContain('clock-offset');
  });

  test('without places passed twice no offset is applied', async () => {
    const fixes = fixesAlong((t) => [0, 2 * t], 600);
    const rows = Array.from({ length: 500 }, (_, i) => [i, 5 + i * 0.01] as const);
    const result = await readText(timedLog(rows), { fixes });
    expect(result.codes).not.toContain('clock-offset');
    expect(result.rows[0].time).toBe(1_700_000_000);
  });

  test('a log without positions is refused without --tracks, and the message names the option', async () => {
    const { refusal } = await readText(timedLog([[7.5, 3.25]]));
    expect(refusal).toMatchObject({
      code: 'soundings/no-positions',
      message: 'This log has times and depths but no positions. Add --tracks with the GPX track of that day.',
    });
  });

  test('a sounding without a readable time cannot be placed', async () => {
    const fixes = fixesAlong((t) => [0, 2 * t], 100);
    const { account } = await readText('time,depth_m\n1700000007.5,3\nnever,3\n', { fixes, clockOffset: 0 });
    expect(account?.dropped).toEqual({ 'soundings/no-time': 1 });
  });

  test('tracks from another day are reported', async () => {
    const fixes = fixesAlong((t) => [0, 2 * t], 100, 1_600_000_000);
    expect((await readText(timedLog([[7.5, 3.25]]), { fixes })).codes).toContain('track-elsewhere');
  });
});

describe('fixes', () => {
  test('track points of several files are sorted by time, and segments stay separate', async () => {
    const late = save(
      'late.gpx',
      gpx([point(45.1, -93, time(20)) + point(45.2, -93, time(30)), point(45.3, -93, time(40))]),
    );
    const early = save('early.gpx', gpx([point(45, -93, time(0)) + point(45.05, -93, '')]));
    const fixes = await readFixes(await Promise.all([late, early].map(fileSource)), () => {});
    expect(Array.from(fixes.time, (t) => t - 1_700_000_000)).toEqual([0, 20, 30, 40]);
    expect(new Set(fixes.segment).size).toBe(3);
    expect(fixes.segment[1]).toBe(fixes.segment[2]);
  });

  test('tracks without times are refused', async () => {
    await expect(
      readFixes([await fileSource(save('plain.gpx', gpx([point(45, -93, '')])))], () => {}),
    ).rejects.toThrow('no track points with times');
  });
});
