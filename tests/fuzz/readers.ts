import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { gunzipSync, gzipSync } from 'node:zlib';
import { strToU8, unzipSync, zipSync } from 'fflate';
import { readBytes } from '../readers/read-bytes.ts';
import { type Choose, createChoose, mutate } from './mutations.ts';

/** Maximum CPU time for a file of a few kilobytes, ms; wall-clock time would depend on other load. */
const LONGEST = 2000;
const LAKE = resolve(import.meta.dirname, '../../fixtures/formats/lake').replace('/dist/', '/');
const lakeFile = (name: string): Uint8Array => readFileSync(resolve(LAKE, name));

/** A valid file, with `bytes` to mutate: the file itself, its unpacked contents, or a companion file. */
interface Good {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly beside?: Readonly<Record<string, Uint8Array>>;
  readonly pack?: (mutated: Uint8Array) => { bytes: Uint8Array; beside?: Record<string, Uint8Array> };
}

const SHAPES = lakeFile('points.shp');
const SHEET = unzipSync(lakeFile('sheet.xlsx'));
const sheetName = Object.keys(SHEET).find((name) => name.endsWith('sheet1.xml'))!;
const besideShapes = { '.dbf': lakeFile('points.dbf'), '.prj': lakeFile('points.prj') };

const GOOD: readonly Good[] = [
  ...[
    'sounder.nmea',
    'projected.csv',
    'points.xyz',
    'points.geojson',
    'grid.asc',
    'grid.tif',
    'sheet.xlsx',
    'packed.csv.gz',
    'archive.zip',
  ].map((name) => ({ name, bytes: lakeFile(name) })),
  { name: 'points.shp', bytes: SHAPES, beside: besideShapes },
  {
    name: 'points.shp',
    bytes: besideShapes['.dbf'],
    pack: (dbf) => ({ bytes: SHAPES, beside: { ...besideShapes, '.dbf': dbf } }),
  },
  {
    name: 'points.shp',
    bytes: besideShapes['.prj'],
    pack: (prj) => ({ bytes: SHAPES, beside: { ...besideShapes, '.prj': prj } }),
  },
  {
    name: 'packed.csv.gz',
    bytes: gunzipSync(lakeFile('packed.csv.gz')),
    pack: (bytes) => ({ bytes: gzipSync(bytes, { level: 1 }) }),
  },
  {
    name: 'sheet.xlsx',
    bytes: SHEET[sheetName],
    pack: (bytes) => ({ bytes: zipSync({ ...SHEET, [sheetName]: bytes }, { level: 0 }) }),
  },
  {
    name: 'archive.zip',
    bytes: lakeFile('points.geojson'),
    pack: (bytes) => ({
      bytes: zipSync(
        { 'a.geojson': bytes, 'b.csv': strToU8('lat,lon,depth_m\n60.1,25.2,5\n') },
        { level: 0 },
      ),
    }),
  },
];

const OPTIONS = { crs: 'EPSG:3067', depthUnit: 'm', vertical: 'down' } as const;
const WITHOUT_GRID = { depthUnit: 'm', vertical: 'down' } as const;

/** The failure of one mutated file. */
export interface Failure {
  readonly log: string;
  readonly mutation: string;
  readonly what: string;
  readonly bytes: Uint8Array;
}

export const section = {
  name: 'readers',
  standard: 250_000,
  /**
   * Mutates files of all open formats and prints every reading that crashes, hangs or gives impossible
   * values.
   */
  async run(count: number, seed: number, print: (line: string) => void): Promise<number> {
    const { failures, read, refused } = await fuzzReaders(count, seed, print);
    print(
      `${count} mutated files: ${read} read, ${refused} refused with a reason, ${failures.length} failures`,
    );
    return failures.length;
  },
};

/** Reads `count` mutations of the valid files; the same seed gives the same mutations. */
export async function fuzzReaders(
  count: number,
  seed: number,
  print?: (line: string) => void,
): Promise<{ failures: Failure[]; refused: number; read: number }> {
  const choose = createChoose(seed);
  const failures: Failure[] = [];
  let refused = 0;
  let read = 0;
  for (let i = 0; i < count; i++) {
    const good = GOOD[i % GOOD.length];
    const { bytes, name: mutation } = mutate(Buffer.from(good.bytes), choose);
    const { what, isRefused } = await judge(good, bytes, choose);
    if (isRefused) refused++;
    else read++;
    if (what !== undefined) {
      failures.push({ log: good.name, mutation, what, bytes });
      print?.(
        `${good.name}, ${mutation}: ${what}\n  ${Buffer.from(bytes).toString('base64').slice(0, 3000)}`,
      );
    }
    if (print !== undefined && (i + 1) % 25_000 === 0) print(`${i + 1} files, ${failures.length} failures`);
  }
  return { failures, refused, read };
}

async function judge(
  good: Good,
  mutated: Uint8Array,
  choose: Choose,
): Promise<{ isRefused: boolean; what?: string }> {
  const { bytes, beside = good.beside } = good.pack?.(mutated) ?? { bytes: mutated };
  const own = good.name === 'grid.tif' || good.name === 'points.shp' || choose(8) === 0;
  const started = process.cpuUsage();
  try {
    const { rows, refusal, account } = await readBytes(
      good.name,
      bytes,
      own ? WITHOUT_GRID : OPTIONS,
      beside,
    );
    const { user, system } = process.cpuUsage(started);
    const took = (user + system) / 1000;
    if (took > LONGEST) return { isRefused: false, what: `took ${took.toFixed(0)} ms` };
    if (refusal !== undefined)
      return {
        isRefused: true,
        what: refusal.code.startsWith('plugin/') ? refusal.message : nothingSaid(refusal.message),
      };
    const odd = rows.find(
      ({ lat, lon, depth }) =>
        !(lat >= -90 && lat <= 90 && lon >= -180 && lon <= 180 && depth > 0 && depth <= 500),
    );
    if (odd !== undefined) return { isRefused: false, what: `took ${odd.lat}, ${odd.lon}, ${odd.depth}` };
    return { isRefused: false, what: account?.used === rows.length ? undefined : 'rows unaccounted for' };
  } catch (cause) {
    return { isRefused: false, what: `threw ${(cause as Error).stack}` };
  }
}

/** Returns a fault unless a message has more than 20 characters, all printable. */
const nothingSaid = (message: string): string | undefined =>
  message.length > 20 && !/[\0-\x08\x0b-\x1f]/.test(message)
    ? undefined
    : `refused without a reason: ${JSON.stringify(message)}`;
