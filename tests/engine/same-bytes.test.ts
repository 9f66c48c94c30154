import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join, resolve } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { writeDemo } from '../../fixtures/demo/make-demo.ts';
import type * as downslope from '../../src/package.ts';
import { gpxOf, makeFolder, runProgram } from '../cli/run-program.ts';
import { browserProgram, NO_BROWSER, openPage, startBrowser } from '../page/browser.ts';

type Package = typeof downslope;

const DIST = resolve(import.meta.dirname, '../../dist');
const FORMS = resolve(import.meta.dirname, '../../fixtures/formats/lake');
const load = (): Promise<Package> => import(join(DIST, 'program/index.js'));

/** A file as text, so that it can be passed to a browser page. */
interface Packed {
  readonly name: string;
  readonly base64: string;
}

interface Request {
  readonly waypoints: readonly Packed[];
  readonly soundings: readonly Packed[];
  readonly files: readonly Packed[];
  readonly options: Readonly<Record<string, string>>;
  readonly logs: Readonly<Record<string, Readonly<Record<string, string>>>>;
}

interface Outputs {
  readonly gpx: string;
  readonly table: string;
  readonly geojson: string;
}

const packed = (folder: string, names: readonly string[]): Packed[] =>
  names.map((name) => ({ name, base64: readFileSync(join(folder, name), 'base64') }));

/** Maximum distance of soundings kept around a mark, degrees of latitude. */
const NEAR = 0.0013;

/**
 * Makes a folder and a request with the same inputs: five marks of the demo, the soundings around them from
 * three days with three water levels, and a lure box.
 */
function demoLake(): { folder: string; request: Request } {
  const folder = makeFolder();
  writeDemo(folder);
  const gpx = readFileSync(join(folder, 'practice.gpx'), 'utf8');
  const marks = gpx
    .match(/<wpt [\s\S]*?<\/wpt>\n/g)!
    .filter((mark) => /<name>(?:E1|E2|E3|F1|F2)</.test(mark));
  writeFileSync(
    join(folder, 'practice.gpx'),
    `${gpx.slice(0, gpx.indexOf('<wpt '))}${marks.join('')}</gpx>\n`,
  );
  const places = marks.map((mark) => /lat="(.*?)" lon="(.*?)"/.exec(mark)!.slice(1).map(Number));
  const logs = ['09', '10', '11'].map((day) => `sonar/sonar-2025-10-${day}.csv`);
  for (const log of logs) {
    const [header, ...rows] = readFileSync(join(folder, log), 'utf8').trim().split('\n');
    const near = rows.filter((row) => {
      const [, north, east] = row.split(',').map(Number);
      return places.some(([lat, lon]) => Math.hypot(north - lat, 0.8 * (east - lon)) < NEAR);
    });
    expect(near.length).toBeGreaterThan(1000);
    writeFileSync(join(folder, log), `${[header, ...near].join('\n')}\n`);
  }
  const values = { date: '2025-10-12', line: '12', cast: '48yd', draft: '3ft', angles: '1' };
  return {
    folder,
    request: {
      waypoints: packed(folder, ['practice.gpx']),
      soundings: packed(folder, logs),
      files: packed(folder, ['lures.csv', 'levels.csv']),
      options: { ...values, lures: 'lures.csv', levels: 'levels.csv' },
      logs: {},
    },
  };
}

function byCommand(folder: string, { waypoints, soundings, options }: Request): Outputs {
  const flags = Object.entries(options).flatMap(([name, value]) => [`--${name}`, value]);
  const names = (files: readonly Packed[]): string[] => files.map(({ name }) => name);
  const outputs = ['--out', 'out.gpx', '--table', 'out.csv', '--geojson', 'out.geojson', '--no-store'];
  const { status, stderr } = runProgram(
    ['enrich', ...names(waypoints), '--soundings', ...names(soundings), ...flags, ...outputs],
    { cwd: folder },
  );
  expect(status, stderr).toBe(0);
  const read = (name: string): string => readFileSync(join(folder, name), 'utf8');
  return { gpx: read('out.gpx'), table: read('out.csv'), geojson: read('out.geojson') };
}

/** Runs the package. Its source also runs in a page, so this function uses nothing defined outside it. */
async function byPackage({ enrich }: Pick<Package, 'enrich'>, request: Request): Promise<Outputs> {
  const unpacked = (files: readonly Packed[]) =>
    files.map(({ name, base64 }) => ({
      name,
      bytes: Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0)),
    }));
  const { waypoints, soundings, files } = request;
  const { gpx, table, geojson } = await enrich({
    ...request,
    waypoints: unpacked(waypoints),
    soundings: unpacked(soundings),
    files: unpacked(files),
  });
  return { gpx: new TextDecoder().decode(gpx[0].bytes), table, geojson };
}

/** Runs the browser build of the package in a browser. */
async function inPage(request: Request): Promise<Outputs> {
  const server = createServer((asked, response) => {
    const name = (asked.url ?? '/').slice(1);
    const isScript = name.endsWith('.js');
    response.setHeader('content-type', isScript ? 'text/javascript' : 'text/html');
    response.end(isScript ? readFileSync(join(DIST, 'browser', name)) : '<!doctype html><title>page</title>');
  });
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const browser = await startBrowser();
  try {
    const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
    const { page, said } = await openPage(browser, url);
    const found = await page.evaluate(
      `import('/index.js').then((downslope) => (${byPackage})(downslope, ${JSON.stringify(request)}))`,
    );
    expect(said).toEqual([]);
    return found as Outputs;
  } finally {
    await browser.close();
    server.close();
  }
}

describe('one lake by command, program and page', () => {
  const { folder, request } = demoLake();
  let command: Outputs;
  beforeAll(() => {
    command = byCommand(folder, request);
  });

  test('the command plans casts at the marks', () => {
    expect(command.gpx.match(/cast \d{3}/g)?.length).toBeGreaterThan(4);
    expect(command.table.split('\n')).toHaveLength(7);
  });

  test('a program gets the same bytes as the command', async () => {
    expect(await byPackage(await load(), request)).toEqual(command);
  });

  test('a page gets the same bytes as the command', async ({ skip }) => {
    if (browserProgram === undefined) return skip(NO_BROWSER);
    expect(await inPage(request)).toEqual(command);
  });
});

describe('twelve open formats', () => {
  const grid = { 'depth-unit': 'm', vertical: 'down' };
  const request: Request = {
    waypoints: [
      {
        name: 'marks.gpx',
        base64: Buffer.from(gpxOf([{ name: 'M', lat: 60.1733211, lon: 25.2516627 }])).toString('base64'),
      },
    ],
    soundings: packed(
      FORMS,
      readdirSync(FORMS).filter((name) => !/\.(?:dbf|prj|shx)$/.test(name)),
    ),
    files: packed(FORMS, ['points.dbf', 'points.prj', 'points.shx']),
    options: { units: 'm', date: '2026-09-10' },
    logs: {
      'points.xyz': { crs: 'EPSG:3067', 'depth-unit': 'm' },
      'projected.csv': { crs: 'EPSG:3067' },
      'grid.asc': { crs: 'EPSG:3067', ...grid },
      'grid.tif': grid,
    },
  };
  let made: Promise<Outputs> | undefined;
  const inProgram = (): Promise<Outputs> => {
    made ??= load().then((program) => byPackage(program, request));
    return made;
  };
  // All samples are of one plane, 12 m deep at the mark, with a gradient of 0.12.
  const isPlane = ({ table }: Outputs): void => {
    const [header, row] = table.split('\n').map((line) => line.split(','));
    const value = (column: string): number => Number(row[header.indexOf(column)]);
    expect(value('depth_m')).toBeCloseTo(12, 1);
  };

  test('give the same plane in a program', async () => {
    isPlane(await inProgram());
  });

  test('give the same plane on a page', async ({ skip }) => {
    if (browserProgram === undefined) return skip(NO_BROWSER);
    expect(await inPage(request)).toEqual(await inProgram());
  });
});

test('the browser build imports only its own files', () => {
  const texts = readdirSync(join(DIST, 'browser'))
    .filter((name) => name.endsWith('.js'))
    .map((name) => readFileSync(join(DIST, 'browser', name), 'utf8'));
  const names = texts
    .flatMap((text) => [
      ...text.matchAll(/\bfrom\s*["']([^"'\s]+)["']|\bimport\s*\(?\s*["'`]([^"'`\s]+)["'`]/g),
    ])
    .map((match) => match[1] ?? match[2]);
  expect(names.length).toBeGreaterThan(5);
  expect(names.filter((name) => !name.startsWith('./'))).toEqual([]);
});

describe('a call of enrich', () => {
  const marks = { name: 'marks', waypoints: [{ lat: 45, lon: -90, name: 'A', comment: 'fish 18-22 ft' }] };
  const count = 4000;
  const columns = {
    name: 'passes',
    lat: Float64Array.from({ length: count }, (_, i) => 45 + (((i % 200) - 100) * 1.2) / 111_320),
    lon: Float64Array.from({ length: count }, (_, i) => -90 + ((Math.floor(i / 200) - 10) * 8) / 78_847),
    depth: Float64Array.from({ length: count }, (_, i) => 6 + 0.03 * ((i % 200) - 100)),
    pass: Int32Array.from({ length: count }, (_, i) => Math.floor(i / 200)),
    depthUnit: 'm',
    vertical: 'down',
  } as const;

  test('takes waypoints and soundings as data, and reports progress', async () => {
    const { enrich } = await load();
    const shares: number[] = [];
    const answer = await enrich(
      { waypoints: [marks], soundings: [columns], today: '2026-09-10' },
      { progress: (_what, share) => shares.push(share ?? 0) },
    );
    expect(answer.spots[0].fields.depth).toBeCloseTo(6, 1);
    expect(answer.survey.logs[0].account).toMatchObject({ read: count });
    expect(answer.messages.every(({ code }) => /^[a-z-]+\/[a-z-]+$/.test(code))).toBe(true);
    expect(shares.at(-1)).toBe(1);
  });

  test('stops when it is aborted, with the reason', async () => {
    const { enrich } = await load();
    const controller = new AbortController();
    const stopped = enrich(
      { waypoints: [marks], soundings: [columns] },
      { signal: controller.signal, progress: () => controller.abort(new Error('enough')) },
    );
    await expect(stopped).rejects.toThrow('enough');
  });

  test('refuses soundings whose columns do not fit as soundings, not as a plugin', async () => {
    const { enrich } = await load();
    const soundings = [{ ...columns, lon: columns.lon.slice(1) }];
    await expect(enrich({ waypoints: [marks], soundings })).rejects.toThrow(
      'The soundings given as "passes" cannot be used: they have 3999 values in column "lon" instead of 4000 as in "lat".',
    );
  });

  test('refuses an unknown option by name before reading anything', async () => {
    const { enrich, Refusal } = await load();
    const refused = enrich({ waypoints: [], options: { 'fish-dept': '3' } });
    await expect(refused).rejects.toBeInstanceOf(Refusal);
    await expect(refused).rejects.toThrow('fish-dept');
  });
});
