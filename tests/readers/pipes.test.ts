import { execFileSync, spawn } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { zipSync } from 'fflate';
import { beforeAll, expect, test } from 'vitest';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';
import { defaultReaderOptions, type ReaderOptions } from '../../src/formats/csv/reader-options.ts';
import { BUILT_IN } from '../../src/run/built-in.ts';
import { openLog } from '../../src/run/open-log.ts';
import { readLog } from '../../src/run/reading/read-log.ts';
import { makeFolder, PROGRAM } from '../cli/run-program.ts';

const LAKE = resolve(import.meta.dirname, '../../fixtures/formats/lake');
const GRID = { crs: 'EPSG:3067' } as const;
const HEIGHTS = { ...GRID, depthUnit: 'm', vertical: 'down' } as const;
/** Samples of all formats, each with the options it needs. */
const FORMS: readonly (readonly [name: string, options: Partial<ReaderOptions>])[] = [
  ['degrees.csv', {}],
  ['projected.csv', GRID],
  ['points.xyz', { ...GRID, depthUnit: 'm' }],
  ['points.geojson', {}],
  ['sounder.nmea', {}],
  ['track.gpx', {}],
  ['grid.asc', HEIGHTS],
  ['grid.tif', { depthUnit: 'm', vertical: 'down' }],
  ['sheet.xlsx', {}],
  ['packed.csv.gz', {}],
  ['archive.zip', {}],
  ['shapefile.zip', {}],
];

let folder: string;
const pathOf = (name: string): string => join(name === 'shapefile.zip' ? folder : LAKE, name);
beforeAll(() => {
  folder = makeFolder();
  const parts = ['shp', 'dbf', 'prj', 'shx'].map((end) => `points.${end}`);
  const files = Object.fromEntries(
    parts.map((name) => [name, new Uint8Array(readFileSync(join(LAKE, name)))]),
  );
  writeFileSync(join(folder, 'shapefile.zip'), zipSync(files));
});

/** Reads all columns of a log, and its account. */
async function read(path: string, changes: Partial<ReaderOptions>) {
  const readers = { steps: planPipeline(BUILT_IN).reader, places: [], open: openLog };
  const parts = readLog(path, defaultReaderOptions(changes), readers, () => {});
  const columns: unknown[] = [];
  let next = await parts.next();
  for (; !next.done; next = await parts.next()) {
    const { file: _, ...own } = next.value;
    columns.push(own);
  }
  return { columns, account: next.value.account };
}

test.each(FORMS)('%s is read like the file through a pipe without an extension', async (name, options) => {
  const pipe = join(folder, `pipe-${name.replace('.', '-').replace(/\..*/, '')}`);
  execFileSync('mkfifo', [pipe]);
  const writer = spawn('sh', ['-c', 'cat "$0" > "$1"', pathOf(name), pipe]);
  const piped = await read(pipe, options);
  writer.kill();
  expect(piped.account.used).toBeGreaterThan(0);
  expect(piped).toEqual(await read(pathOf(name), options));
});

test.each(['shapefile.zip', 'sheet.xlsx', 'packed.csv.gz'])(
  '%s from standard input is read like the file',
  (name) => {
    const accountOf = (log: string, input: string): unknown => {
      const command = '"$0" "$1" check --soundings "$2" --json < "$3"';
      const text = execFileSync('sh', ['-c', command, process.execPath, PROGRAM, log, input], {
        encoding: 'utf8',
        stdio: ['ignore', 'pipe', 'ignore'],
      });
      return JSON.parse(text).logs[0].account;
    };
    expect(accountOf('-', pathOf(name))).toEqual(accountOf(pathOf(name), '/dev/null'));
  },
);
