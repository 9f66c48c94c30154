import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { LogPlugin, SurveyPlugin } from '../../shared/contract/plugin.ts';
import type { SoundingLog, Survey } from '../../shared/contract/soundings.ts';
import type { Waypoint } from '../../shared/contract/waypoint.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';

/** One row of a synthetic log: m from the log's origin, depth in m, time in s, temperature in C. */
export type MadeRow = readonly [
  east: number,
  north: number,
  depth: number,
  time?: number,
  temperature?: number,
];

/** Makes a log from rows around a place. */
export function makeLog(rows: readonly MadeRow[], lat = 45, lon = -93, file = 'made.csv'): SoundingLog {
  const frame = localFrame(lat, lon);
  const places = rows.map(([east, north]) => frame.toGeographic(east, north));
  const depth = Float32Array.from(rows, (row) => row[2]);
  return {
    file,
    part: 0,
    count: rows.length,
    lat: Float64Array.from(places, (place) => place[0]),
    lon: Float64Array.from(places, (place) => place[1]),
    depth,
    time: Float64Array.from(rows, (row) => row[3] ?? Number.NaN),
    pass: new Int32Array(rows.length),
    weight: new Float32Array(rows.length).fill(1),
    shallowest: depth.slice(),
    line: Uint32Array.from(rows, (_, i) => i + 2),
    ...(rows.some((row) => row[4] !== undefined)
      ? { temperature: Float32Array.from(rows, (row) => row[4] ?? Number.NaN) }
      : {}),
  };
}

/** Makes a straight run on a bearing, with a sounding every `step` m and at `speed` m/s. */
export function straightRun(options: {
  readonly count: number;
  readonly step?: number;
  readonly east?: number;
  readonly north?: number;
  readonly bearing?: number;
  readonly time?: number;
  readonly speed?: number;
  readonly depth: (way: number, east: number, north: number) => number;
}): MadeRow[] {
  const { count, step = 0.5, east = 0, north = 0, bearing = 0, time = 1.7e9, speed = 2.5 } = options;
  const sin = Math.sin((bearing * Math.PI) / 180);
  const cos = Math.cos((bearing * Math.PI) / 180);
  return Array.from({ length: count }, (_, i) => {
    const way = i * step;
    const [x, y] = [east + way * sin, north + way * cos];
    return [x, y, options.depth(way, x, y), time + way / speed] as const;
  });
}

/** Joins logs into one survey, with a unique number for each pass. */
export function makeSurvey(logs: readonly SoundingLog[]): Survey {
  const all = <T extends Float64Array | Float32Array>(
    from: (log: SoundingLog) => T,
    into: (n: number) => T,
  ): T => {
    const column = into(logs.reduce((sum, log) => sum + log.count, 0));
    let at = 0;
    for (const log of logs) {
      column.set(from(log), at);
      at += log.count;
    }
    return column;
  };
  const f64 = (n: number) => new Float64Array(n);
  const f32 = (n: number) => new Float32Array(n);
  let offset = 0;
  const passes = logs.flatMap((log) => {
    const numbers = Array.from(log.pass, (pass) => pass + offset);
    offset = Math.max(offset - 1, ...numbers) + 1;
    return numbers;
  });
  const time = all((log) => log.time, f64);
  return {
    count: time.length,
    lat: all((log) => log.lat, f64),
    lon: all((log) => log.lon, f64),
    depth: all((log) => log.depth, f32),
    time,
    pass: Int32Array.from(passes),
    weight: all((log) => log.weight, f32),
    shallowest: all((log) => log.shallowest, f32),
    log: Int32Array.from(logs.flatMap((log, i) => new Array(log.count).fill(i))),
    logs: logs.map((log) => ({
      file: log.file,
      account: { read: log.count, used: log.count, dropped: {} },
      firstTime: log.count === 0 ? Number.NaN : log.time[0],
      lastTime: log.count === 0 ? Number.NaN : log.time[log.count - 1],
    })),
  };
}

/** Returns the defaults of a plugin's options, with changes. */
function optionsOf(plugin: { readonly options: object }, changes: object): never {
  const defaults = Object.entries(plugin.options).map(([name, { default: value }]) => [name, value]);
  return { ...Object.fromEntries(defaults), ...changes } as never;
}

/** Runs a log plugin and collects its messages. */
// biome-ignore lint/suspicious/noExplicitAny: any plugin's options.
export function runOnLog(plugin: LogPlugin<any>, log: SoundingLog, changes: object = {}) {
  const said: Diagnostic[] = [];
  const context = { report: (diagnostic: Diagnostic) => said.push(diagnostic), progress: () => {} };
  const change = plugin.run({ log }, optionsOf(plugin, changes), context as never);
  const dropped = Object.fromEntries(
    (change.dropped ?? [])
      .filter(({ rows }) => rows.length > 0)
      .map(({ reason, rows }) => [reason.replace('soundings/', ''), Array.from(rows)]),
  );
  return { change, dropped, said, codes: said.map(({ code }) => code.replace('soundings/', '')) };
}

/** Runs a survey plugin and collects its messages. */
export function runOnSurvey(
  // biome-ignore lint/suspicious/noExplicitAny: any plugin's options.
  plugin: SurveyPlugin<any>,
  survey: Survey,
  changes: object = {},
  waypoints: readonly Waypoint[] = [],
) {
  const said: Diagnostic[] = [];
  const context = { report: (diagnostic: Diagnostic) => said.push(diagnostic), progress: () => {} };
  const change = plugin.run(
    { survey, logs: survey.logs, waypoints },
    optionsOf(plugin, changes),
    context as never,
  );
  return { change, said, codes: said.map(({ code }) => code.replace('soundings/', '')) };
}

export const makeWaypoint = (name: string, lat: number, lon: number, index = 0): Waypoint => ({
  index,
  file: 'marks.gpx',
  fileIndex: index,
  line: index + 2,
  lat,
  lon,
  name,
  comment: '',
  description: '',
  symbol: '',
  type: '',
});

/** Makes a seeded source of noise with mean 0 and standard deviation 1 (sum of 12 uniform numbers). */
export function makeNoise(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
  return () => {
    let sum = -6;
    for (let i = 0; i < 12; i++) sum += uniform();
    return sum;
  };
}
