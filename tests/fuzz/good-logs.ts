import type { ReaderOptions } from '../../src/formats/csv/reader-options.ts';

/** A valid log, to be mutated. */
export interface GoodLog {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly options: Partial<ReaderOptions>;
  readonly encoding?: BufferEncoding;
  /** True if every line is one row, so that rows can be compared with their lines. */
  readonly isPlain: boolean;
  readonly header: string;
  readonly headerLine: number;
  /** Parses the values of a changed line independently of the reader; undefined if the line is not simple. */
  readonly plainly?: (line: string) => readonly number[] | undefined;
}

const ROWS = 24;
const at = (i: number) => ({
  lat: (45 + i * 1.3e-5).toFixed(7),
  lon: (-93.3 + i * 2.1e-5).toFixed(7),
  feet: (12.5 + ((i * 7) % 23) * 0.25).toFixed(2),
  meters: (3.81 + ((i * 5) % 19) * 0.07).toFixed(2),
  iso: new Date(1_714_561_200_000 + i * 200).toISOString(),
});
type At = ReturnType<typeof at>;

function text(
  header: string,
  row: (a: At, i: number) => string,
  end = '\n',
  preamble: readonly string[] = [],
): string {
  return [...preamble, header, ...Array.from({ length: ROWS }, (_, i) => row(at(i), i)), ''].join(end);
}

const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)$/;

/**
 * Makes a parser of lines of plain numbers: indices of latitude, longitude and depth, and the meters of a
 * depth of 1.
 */
const glance =
  (fields: number, lat: number, lon: number, depth: number, factor: number, time?: number) =>
  (line: string): readonly number[] | undefined => {
    const parts = line.split(',').map((part) => part.trim());
    if (parts.length !== fields) return undefined;
    const used = [parts[lat], parts[lon], parts[depth]];
    if (!used.every((part) => NUMBER.test(part) && part.replace(/\D/g, '').length <= 15)) return undefined;
    const values = used.map((part) => globalThis.parseFloat(part));
    if (values[1] > 180) values[1] -= 360;
    // Times are not compared, because a time is kept or dropped depending on its neighbors.
    void time;
    return [values[0], values[1], values[2] * factor, Number.NaN];
  };

const plain = (
  name: string,
  header: string,
  row: (a: At, i: number) => string,
  more: Partial<GoodLog> & { readonly end?: string; readonly preamble?: readonly string[] } = {},
): GoodLog => ({
  name,
  bytes: Buffer.from(text(header, row, more.end, more.preamble), 'utf8'),
  options: {},
  isPlain: true,
  header,
  headerLine: 1 + (more.preamble?.length ?? 0),
  ...more,
});

export const GOOD_LOGS: readonly GoodLog[] = [
  plain('meters', 'lat,lon,depth_m', (a) => `${a.lat},${a.lon},${a.meters}`, {
    plainly: glance(3, 0, 1, 2, 1),
  }),
  plain(
    'feet with times',
    'time,lat,lon,depth_ft,temp_f',
    (a, i) => `${a.iso},${a.lat},${a.lon},${a.feet},${(61 + i / 10).toFixed(1)}`,
    {
      plainly: glance(5, 1, 2, 3, 0.3048, 0),
    },
  ),
  plain('CR LF', 'lat,lon,depth_m,note', (a, i) => `${a.lat},${a.lon},${a.meters},n${i}`, {
    end: '\r\n',
    plainly: glance(4, 0, 1, 2, 1),
  }),
  plain('CR', 'lat,lon,depth_m', (a) => `${a.lat},${a.lon},${a.meters}`, { end: '\r' }),
  plain('decimal commas', 'Lat;Lon;Depth (m)', (a) =>
    [a.lat, a.lon, a.meters].join(';').replaceAll('.', ','),
  ),
  plain(
    'Unix time',
    'timestamp,lat,lon,depth',
    (a, i) => `${1_714_561_200 + i},${a.lat},${a.lon},${a.feet}`,
    { options: { depthUnit: 'ft' } },
  ),
  plain(
    'a unit in each depth',
    'lat,lon,depth',
    (a, i) => `${a.lat},${a.lon},${i % 2 === 0 ? `${a.feet} ft` : `${a.meters} m`}`,
  ),
  plain(
    'unit column',
    'lat,lon,depth,unit',
    (a, i) => `${a.lat},${a.lon},${i % 2 === 0 ? `${a.feet},ft` : `${a.meters},m`}`,
  ),
  plain(
    'hemispheres',
    'lat,n/s,lon,e/w,depth_m',
    (a, i) => `45${(i / 1000).toFixed(3).slice(1)},N,93.3${i % 10},W,${a.meters}`,
  ),
  plain(
    'degrees and minutes',
    'lat,lon,depth_m',
    (a, i) => `45 ${(30 + i / 1000).toFixed(3)}N,93 ${(18 + i / 1000).toFixed(3)}W,${a.meters}`,
  ),
  plain(
    'separate date and time',
    'date;time;lat;lon;depth_m',
    (a) => `${a.iso.slice(0, 10)};${a.iso.slice(11, 23)};${a.lat};${a.lon};${a.meters}`,
  ),
  plain('preamble', 'lat\tlon\tdepth_m', (a) => `${a.lat}\t${a.lon}\t${a.meters}`, {
    preamble: ['# a log', 'second line', ''],
  }),
  plain('elevations', 'y,x,z', (a) => `${a.lat},${a.lon},-${a.meters}`, { options: { depthUnit: 'm' } }),
  plain(
    'day first',
    'when,lat,lon,depth_m,date',
    (a, i) => `x,${a.lat},${a.lon},${a.meters},${(i % 28) + 1}/05/2024`,
  ),
  {
    ...plain(
      'quoted notes',
      'lat,lon,depth_m,note',
      (a, i) => `${a.lat},${a.lon},${a.meters},"${['a, b', 'say ""x""', 'two\nlines', 'c'][i % 4]}"`,
    ),
    isPlain: false,
  },
  {
    ...plain(
      'quoted numbers',
      '"lat","lon","depth_m"',
      (a) => `"${a.lat.replace('.', ',')}","${a.lon.replace('.', ',')}","${a.meters.replace('.', ',')}"`,
    ),
    isPlain: false,
  },
  {
    ...plain('UTF-16', 'lat,lon,depth_m', (a) => `${a.lat},${a.lon},${a.meters}`),
    bytes: Buffer.from(`\uFEFF${text('lat,lon,depth_m', (a) => `${a.lat},${a.lon},${a.meters}`)}`, 'utf16le'),
    isPlain: false,
  },
  {
    ...plain('no header', '', (a) => `${a.lat},${a.lon},${a.feet}`, {
      options: { columns: ['lat', 'lon', 'depth(ft)'] },
    }),
    isPlain: false,
  },
];
