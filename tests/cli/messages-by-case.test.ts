import { existsSync, mkdirSync, truncateSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { countedText, prospectMessages } from '../../shared/text/messages/prospect.ts';
import { castChanges } from '../../shared/text/messages/since-last-time.ts';
import { gpxOf, makeFolder, runProgram, WITHOUT_MODELS, write } from './run-program.ts';

const MARKS = gpxOf([{ name: 'A1', lat: 40, lon: -90 }]);
const NEAR = gpxOf([{ name: 'Ledge', lat: 40.00001, lon: -90 }]);
const ROWS = '40.0000,-90.0000,5.0\n40.0001,-90.0000,5.1\n40.0002,-90.0000,5.2\n';
const LOG = `lat,lon,depth\n${ROWS}`;
const BIG_TRACK = `<trk><trkseg>${'<trkpt lat="40" lon="-90"></trkpt>'.repeat(130_000)}</trkseg></trk>`;
const ROUTE = '<rte><rtept lat="40" lon="-90"/><rtept lat="40.1" lon="-90"/></rte>';
const UNMODELED = [...WITHOUT_MODELS];

function folderWith(files: Readonly<Record<string, string>>): string {
  const folder = makeFolder();
  for (const [name, text] of Object.entries(files)) write(folder, name, text);
  return folder;
}

describe('a message is true in each case in which it is printed', () => {
  test.each([
    ['check marks.gpx --depth-unit ft --save', {}, 'no sonar log is given to save options for'],
    ['check marks.gpx --soundings - --depth-unit m --save', {}, 'a log from standard input has none'],
    ['enrich', {}, 'WAYPOINTS'],
    ['enrich marks.gpx --out', {}, '--out needs a value. Write --out PATH.'],
    ['enrich marks.gpx --out --force', {}, '--out needs a value. Write --out PATH.'],
    ['enrich marks.gpx --force=yes', {}, '--force takes no value. Write --force alone.'],
    ['unit my export.gpx', {}, 'downslope unit takes 1 argument, not 2: "export.gpx" is one too many.'],
    ['plann', {}, 'Did you mean plan?'],
    ['--units m enrich', {}, 'The name of the command comes first, before --units. See downslope --help.'],
    ['enrich marks.gpx --config c.yaml', { 'c.yaml': 'draft: 3ft\ndraft: 4ft\n' }, 'gives "draft" twice.'],
    ['enrich marks.gpx --config c.yaml', { 'c.yaml': 'draft:\n' }, '"draft" has no value.'],
    ['enrich marks.gpx --config c.yaml', { 'c.yaml': 'a: [\n' }, 'is not valid YAML ('],
    ['enrich marks.gpx --plugin marks.gpx', {}, 'Give the path of a .js, .mjs or .ts file'],
    ['demo marks.gpx', {}, '"marks.gpx" is a file. Name a folder'],
    ['check marks.gpx --soundings - --sentinels 99.9,none', {}, '--sentinels "none" is not a number'],
    ['enrich marks.gpx --soundings empty', {}, 'There are no sonar logs in this folder.'],
    [
      'enrich .',
      { 'marks.gpx': '', 'a.enriched.gpx': MARKS },
      'This file is empty. Export or copy it again.',
    ],
    ['check marks.gpx --soundings a.gpx', { 'a.gpx': '' }, 'This file is empty. Export or copy it again.'],
    ['enrich marks.gpx', { 'marks.gpx': `${MARKS}\0` }, 'it ends in 1 NUL byte. Copy'],
    ['undo marks.gpx --out marks.gpx', {}, 'replace the input "marks.gpx". Give the output another path.\n'],
    ['enrich marks.gpx', { 'marks.gpx': '\0\0' }, 'it contains only NUL bytes. Export or copy it again.'],
    ['enrich marks.gpx', { 'marks.gpx': 'lat,lon\n' }, 'This is plain text, not GPX.'],
    [
      'enrich marks.gpx',
      { 'marks.gpx': MARKS.replace('A1', 'A&nbsp;1') },
      '(an entity other than &amp; &lt; &gt; &quot; &apos;)',
    ],
    [
      'enrich marks.gpx --soundings - --crs 32633',
      {},
      '--crs "32633" is not an EPSG number such as EPSG:32633.',
    ],
    [
      'enrich marks.gpx --zones z.json',
      { 'z.json': '{"type":"Polygon","coordinates":[]}' },
      'This file is GeoJSON, but only a bare Polygon.',
    ],
    [
      'enrich marks.gpx --zones z.json',
      { 'z.json': '{"type":"LineString","coordinates":[]}' },
      'Draw the areas as polygons, and export them as features.',
    ],
    ['enrich marks.gpx --zones z.json', { 'z.json': '"a\nb' }, 'This file is not valid JSON ('],
    ['enrich marks.gpx --lures empty', {}, 'The file of --lures cannot be read (it is a folder).'],
    ['enrich marks.gpx --lures big.csv', { 'big.csv': '' }, 'it is 65 MiB, and the limit is 64 MiB.'],
    [
      'plan marks.gpx --ramp A1 --marks m.csv',
      { 'm.csv': 'name\nA1\n' },
      'To make it, run: downslope enrich marks.gpx',
    ],
  ])('%s', (line, files, text) => {
    const folder = folderWith({ 'marks.gpx': MARKS, ...files });
    mkdirSync(join(folder, 'empty'));
    if ('big.csv' in files) truncateSync(join(folder, 'big.csv'), (64 << 20) + 1);
    const { status, stderr } = runProgram(line.split(' '), { cwd: folder, input: LOG });
    expect(stderr).toContain(text);
    expect(status).toBeGreaterThan(0);
    expect(status).toBeLessThan(70);
  });

  test('--join without --merge', () => {
    const folder = folderWith({ 'marks.gpx': MARKS });
    const { status, stderr } = runProgram(['enrich', 'marks.gpx', '--join', '5m', ...UNMODELED], {
      cwd: folder,
    });
    expect(status).toBe(0);
    expect(stderr).toContain('Nothing is joined: --join works only with --merge.');
  });

  test('a folder with nothing but outputs of downslope', () => {
    const folder = makeFolder();
    write(folder, 'a.enriched.gpx', MARKS);
    const { stderr } = runProgram(['enrich', '.'], { cwd: folder });
    expect(stderr).toContain(
      'There are no GPX files of yours in this folder, only files that downslope wrote.',
    );
  });

  test('--save changes no settings file if one of several is refused', () => {
    const folder = folderWith({
      'a.csv': LOG,
      'b.csv': LOG,
      'b.csv.yaml': 'max-depth: 40\n',
    });
    const { status, stderr } = runProgram(
      ['check', '--soundings', 'a.csv', 'b.csv', '--max-depth', '50', '--save'],
      { cwd: folder },
    );
    expect(stderr).toContain('Nothing is saved');
    expect(status).toBe(2);
    expect(existsSync(join(folder, 'a.csv.yaml'))).toBe(false);
  });

  test('marks close together with other names are not told to join', () => {
    const folder = folderWith({ 'a.gpx': MARKS, 'b.gpx': NEAR });
    const { stderr } = runProgram(['enrich', 'a.gpx', 'b.gpx', '--merge', ...UNMODELED], { cwd: folder });
    expect(stderr).toContain('If they are the same, delete one of the two.');
    expect(stderr).not.toContain('--join');
  });

  test('one track too large for GeoJSON is named as one, and the file is not told to be split', () => {
    const folder = folderWith({ 'a.gpx': MARKS.replace('</gpx>', `${ROUTE}${BIG_TRACK}</gpx>`) });
    const { stderr } = runProgram(['enrich', 'a.gpx', '--geojson', 'g.json', ...UNMODELED], { cwd: folder });
    expect(stderr).toContain('The GeoJSON leaves out 1 route or track of this file, because it is larger');
    expect(stderr).not.toContain('--max-waypoints');
  });

  test('a file with long texts is told how many waypoints fit into a part', () => {
    const note = `<desc>${'x'.repeat(100_000)}</desc>`;
    const marks = Array.from({ length: 50 }, (_, i) => ({ name: `A${i}`, lat: 40 + i / 1000, lon: -90 }));
    const folder = folderWith({ 'a.gpx': gpxOf(marks).replaceAll('</wpt>', `${note}</wpt>`) });
    const { stderr } = runProgram(['enrich', 'a.gpx', ...UNMODELED], { cwd: folder });
    expect(stderr).toContain('this file is 4.8 MiB. If yours is one of them, add --max-waypoints 33 to');
  });

  test('logs of an area too large for one map are told of a coarser map only where that can help', () => {
    const other = LOG.replaceAll('40.000', '40.200').replaceAll('-90.0', '-89.7');
    const cwd = folderWith({ 'a.csv': LOG, 'b.csv': other });
    const run = (...more: string[]) =>
      runProgram(['lake', 'a.csv', 'b.csv', '--depth-unit', 'ft', ...more], { cwd });
    expect(run().stderr).toContain('or add --cell 60ft for a coarser map.');
    expect(run('--cell', '60ft').status).toBe(0);
    write(cwd, 'b.csv', other.replaceAll('40.200', '45.200'));
    expect(run('--cell', '60ft').stderr).toContain('Give only the logs of one lake or one part of it.\n');
  });

  test('a path that is too long is not said to forbid writing', () => {
    const folder = folderWith({ 'a.gpx': MARKS });
    const { stderr } = runProgram(['enrich', 'a.gpx', '--out', `${'x'.repeat(300)}.gpx`], { cwd: folder });
    expect(stderr).toContain('this path cannot be used (its name is too long).');
  });

  test('files of one version with other namespaces', () => {
    const folder = folderWith({ 'a.gpx': MARKS, 'b.gpx': NEAR.replace(/ xmlns="[^"]*"/, '') });
    const { stderr } = runProgram(['enrich', 'a.gpx', 'b.gpx', '--merge', ...UNMODELED], { cwd: folder });
    expect(stderr).toContain('this one has no namespace, and that of a.gpx is');
  });

  test('the same input twice', () => {
    const folder = folderWith({ 'a.gpx': MARKS });
    const { stderr } = runProgram(['enrich', 'a.gpx', 'a.gpx'], { cwd: folder });
    expect(stderr).toContain('two outputs have this path');
  });

  test('files without marks of the user', () => {
    const folder = folderWith({ 'a.gpx': gpxOf([]), 'b.gpx': gpxOf([]) });
    const { stderr } = runProgram(['enrich', 'a.gpx', 'b.gpx', '--merge', ...UNMODELED], { cwd: folder });
    expect(stderr).toContain('Nothing is worked out: the 2 files have no marks of yours');
    const { stderr: planned } = runProgram(['plan', 'a.gpx', '--ramp', '40,-90'], { cwd: folder });
    expect(planned).toContain('The plan is empty: no marks were found.');
  });

  test('check without logs says so, and says nothing of what logs show', () => {
    const folder = folderWith({ 'marks.gpx': MARKS });
    const { status, stdout } = runProgram(['check', 'marks.gpx'], { cwd: folder });
    expect(status).toBe(0);
    expect(stdout).toMatch(/^No logs were checked: none was given\. Give your sonar logs with --soundings\./);
    expect(stdout).not.toMatch(/Nothing is wrong|Crossings|Water levels|Days|^Logs/m);
  });

  test('the lengths of a refusal are in the units of the user', () => {
    const folder = folderWith({ 'a.gpx': MARKS, 'log.csv': `lat,lon,depth_m\n${ROWS}` });
    runProgram(['enrich', 'a.gpx', '--soundings', 'log.csv', ...UNMODELED], { cwd: folder });
    const far = runProgram(['plan', 'a.enriched.gpx', '--ramp', '30,-90'], { cwd: folder });
    expect(far.stderr).toMatch(/--ramp is \d+ mi from your nearest mark/);
  });
});

test('few marks are counted as marks, and crowded ones as places', () => {
  const few = (marks: number, places: number, isAny = false) =>
    prospectMessages['too-few'](undefined, marks, places, 5, isAny, 0).message;
  expect(few(0, 0)).toMatch(
    /^No places are proposed: no mark with fish is on water that your sonar covered,/,
  );
  expect(few(1, 1, true)).toMatch(
    /^Only structure is listed, without looking at marks: only 1 mark with fish is on water that your sonar covered,/,
  );
  expect(few(3, 3)).toMatch(/: only 3 marks with fish are on water that your sonar covered,/);
  expect(few(20, 1)).toMatch(/: your 20 marks with fish on .* are only 1 separate place, and it takes 5 /);
  expect(prospectMessages['too-few'](undefined, 0, 0, 5, false, 3).message).toMatch(
    /: no mark with more than 3 fish is on water that your sonar covered,/,
  );
  expect(prospectMessages['too-few'](undefined, 2, 2, 5, false, 0, 1).message).toMatch(
    /apart\. If your 1 mark without a count of fish had fish too, add --fish all\.$/,
  );
  expect(prospectMessages['every-mark'](undefined, 1).message).toMatch(
    /so the 1 mark without a count is taken to have fish\./,
  );
});

test('one blank is counted in words', () => {
  const counts = { fish: 12, met: 9, conditions: [{ family: 'depth', from: 3, to: 6 }] };
  expect(countedText({ ...counts, blanks: 1, metBlanks: 0 }, 'm')).toBe(
    '9 of your 12 marks with fish are in 3-6 m; your only blank is not',
  );
});

test('the reason of a changed cast names no values that read the same or are not known', () => {
  const reason = (then: object, now: object) =>
    castChanges['changed gone'](undefined, 'deep-side', [then, now], 'ft').message;
  expect(reason({ soundings: 90, depth: 4.45 }, { soundings: 90, depth: 4.7 })).toMatch(
    /a setting or your note/,
  );
  const atMark = (depth: number) =>
    ({ soundings: 90, depth, fish_source: 'depth', fish_top: depth - 1, fish_bottom: depth + 1 }) as const;
  expect(reason(atMark(8), atMark(3))).toMatch(/the mark was 26 ft deep then, 10 ft now/);
  expect(reason({}, { soundings: 90 })).toBe(
    'the deep-side cast is gone; probably the logs, a setting or your note has changed.',
  );
});

describe('a message about a log that is made of points', () => {
  const pointsOf = (depths: readonly (number | string)[]): string =>
    JSON.stringify({
      type: 'FeatureCollection',
      features: depths.map((depth_ft, i) => ({
        type: 'Feature',
        properties: { depth_ft },
        geometry: { type: 'Point', coordinates: [-90, 40 + 0.00001 * i] },
      })),
    });
  const checked = (depths: readonly (number | string)[]) => {
    const folder = folderWith({ 'a.geojson': pointsOf(depths) });
    return runProgram(['check', '--soundings', 'a.geojson'], { cwd: folder }).stderr;
  };

  test('names the point, whether reading or cleaning reports it', () => {
    const level = new Array(12).fill(20);
    expect(checked([...level, 'deep'])).toContain('a.geojson: point 13: warning soundings/number');
    expect(checked([...level, 55, ...level])).toContain('a.geojson: point 13: warning soundings/spike');
    expect(checked([20, 'x', 'x'])).toContain('a.geojson: point 2: error soundings/too-many-dropped');
  });
});

test('a sonar log given as waypoints is told where it belongs', () => {
  const log = '$GPGLL,4000.0000,N,09000.0000,W,100001.00,A\n$SDDPT,5.0,0.0\n';
  const { stderr } = runProgram(['check', 'a.nmea'], { cwd: folderWith({ 'a.nmea': log }) });
  expect(stderr).toContain(
    'No waypoints can be read from this file. If it is a sonar log, give it with --soundings.',
  );
});

test('a correction for the speed of sound that cannot be made is reported', () => {
  const folder = folderWith({ 'a.csv': `lat,lon,depth_m\n${ROWS}` });
  const { stderr } = runProgram(['check', '--soundings', 'a.csv', '--sound-speed.on'], { cwd: folder });
  expect(stderr).toContain('Depths are not corrected for the speed of sound');
});

test('level readings: an empty value and an unknown unit are told apart', () => {
  const levels = 'date,level,unit\n2026-05-01,3,\n2026-05-02,3,ell\n';
  const folder = folderWith({ 'a.csv': `lat,lon,depth_m\n${ROWS}`, 'levels.csv': levels });
  const { stderr } = runProgram(['check', '--soundings', 'a.csv', '--levels', 'levels.csv'], { cwd: folder });
  expect(stderr).toContain(
    'levels.csv:2: error soundings/levels: The level readings cannot be read: this line lacks a unit',
  );
  expect(stderr).toContain('"ell" is not a unit (m, ft or cm)');
});
