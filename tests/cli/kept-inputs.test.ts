import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { gpxOf, makeFolder, runProgram, write } from './run-program.ts';

const FILES = {
  'marks.gpx': gpxOf([{ name: 'A1', lat: 40, lon: -90, comment: 'fish 12-18 ft' }]),
  'log.csv': 'lat,lon,depth_m\n40,-90,5\n',
  'track.gpx': gpxOf([]),
  'lures.csv': 'name,label_ft\n16 ft diver,16\n',
  'levels.csv': 'time,level_ft\n2025-06-01,600\n',
  'marks.csv': 'mark,priority\nA1,2\n',
  'day.log.csv': 'time,mark,fish\n07:15,A1,4\n',
  'zones.geojson': '{"type":"FeatureCollection","features":[]}',
  'c.yaml': 'units: ft\n',
  'own.js':
    "export const p = { name: 'own', summary: 'Own.', stage: 'survey', options: {}, run: () => ({}) };\n",
  'lakes.yaml': 'lakes: []\n',
};

const ENRICH = 'enrich marks.gpx --soundings log.csv --lures lures.csv --levels levels.csv --config c.yaml';
const PLAN = 'plan marks.gpx --ramp 40,-90 --marks marks.csv --zones zones.geojson --log day.log.csv';

test.each([
  [`${ENRICH} --table lures.csv`, 'lures.csv'],
  [`${ENRICH} --geojson levels.csv`, 'levels.csv'],
  [`${ENRICH} --report c.yaml`, 'c.yaml'],
  [`${ENRICH} --plugin ./own.js --table own.js`, 'own.js'],
  [`${ENRICH} --out log.csv`, 'log.csv'],
  [`${ENRICH} --in-place --table log.csv`, 'log.csv'],
  [`${PLAN} --csv marks.csv`, 'marks.csv'],
  [`${PLAN} --csv day.log.csv`, 'day.log.csv'],
  [`${PLAN} --page zones.geojson`, 'zones.geojson'],
  [`${PLAN} --gpx marks.gpx`, 'marks.gpx'],
  ['check marks.gpx --soundings log.csv --tracks track.gpx --passes track.gpx', 'track.gpx'],
  ['batch lakes.yaml --summary lakes.yaml', 'lakes.yaml'],
] as const)('no output replaces a file that the run reads: %s --force', (command, file) => {
  const folder = makeFolder();
  for (const [name, text] of Object.entries(FILES)) write(folder, name, text);
  const { status, stderr } = runProgram([...command.split(' '), '--force'], { cwd: folder });
  expect(status, stderr).toBe(1);
  expect(stderr).toContain(`${file}: error file/is-input`);
  expect(readFileSync(join(folder, file), 'utf8')).toBe(FILES[file]);
});
