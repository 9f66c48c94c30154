import type { KnownBottom } from '../../fixtures/lakes/bottom.ts';
import { makeLake } from '../../fixtures/lakes/lake.ts';
import { type Random, random } from '../../fixtures/lakes/random.ts';
import { type LocalSoundings, simulateSurvey } from '../../fixtures/lakes/survey.ts';
import type { SoundingLog, Survey } from '../../shared/contract/soundings.ts';
import { type JoinedLog, joinLogs } from '../../shared/engine/join-logs.ts';
import { planPipeline } from '../../shared/engine/plan-pipeline.ts';
import { runLogSteps } from '../../shared/engine/run-logs.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { BUILT_IN } from '../../src/run/built-in.ts';

/** Kinds of bottom of the synthetic lakes. */

export const GROUNDS = ['flat', 'slope', 'patch', 'rough'] as const;
export type Ground = (typeof GROUNDS)[number];

/** A synthetic lake and the soundings that a boat recorded on it. */
export interface Scene {
  readonly ground: Ground;
  readonly spacing: number;
  /** True if the last passes run across the others. */
  readonly isCrossed: boolean;
  readonly bottom: KnownBottom;
  /** Side of the sounded square, m. */
  readonly size: number;
  readonly rows: LocalSoundings;
  /** Index of the first pass across the others. */
  readonly crossFrom: number;
}

const SIZE = 600;
const SPACINGS = [15, 25, 40, 60];
export const ORIGIN = { lat: 44.3, lon: -93.4, time: 1_717_232_400 } as const;
const DAY = 86_400;

/** Makes a scene. Bottom, spacing and cross passes alternate with the seed; everything else is random. */
export function makeScene(seed: number): Scene {
  const source = random(seed * 7 + 3);
  const ground = GROUNDS[seed % 4];
  const spacing = SPACINGS[Math.floor(seed / 4) % 4];
  const isCrossed = Math.floor(seed / 16) % 3 < 2;
  const bottom = groundOf(ground, seed, source);
  const heading = source.range(0, 360);
  const base = { center: [SIZE / 2, SIZE / 2], radius: SIZE / 2, step: 0.8, wander: 1.5 } as const;
  const parallel = simulateSurvey(bottom, { ...base, seed, spacing, heading });
  const across = simulateSurvey(bottom, {
    ...base,
    seed: seed + 5_000_000,
    spacing: SIZE / 4.2,
    heading: heading + 90,
  });
  const crossFrom = parallel.pass[parallel.count - 1] + 1;
  return {
    ground,
    spacing,
    isCrossed,
    bottom,
    size: SIZE,
    crossFrom,
    rows: isCrossed ? joined(parallel, across) : parallel,
  };
}

function joined(a: LocalSoundings, b: LocalSoundings): LocalSoundings {
  const pass = a.pass[a.count - 1] + 1;
  const time = a.time[a.count - 1] + 120;
  const both = (name: 'east' | 'north' | 'depth') => Float64Array.from([...a[name], ...b[name]]);
  return {
    count: a.count + b.count,
    east: both('east'),
    north: both('north'),
    depth: both('depth'),
    pass: Int32Array.from([...a.pass, ...b.pass.map((p) => p + pass)]),
    time: Float64Array.from([...a.time, ...b.time.map((t) => t + time)]),
  };
}

/** Makes random waves with total standard deviation `sd`, m, and wavelengths in a range, m. */
function waves(source: Random, count: number, sd: number, shortest: number, longest: number) {
  const all = Array.from({ length: count }, () => {
    const k = (2 * Math.PI) / source.logRange(shortest, longest);
    const way = source.range(0, 2 * Math.PI);
    return [k * Math.sin(way), k * Math.cos(way), source.range(0, 2 * Math.PI)] as const;
  });
  const amplitude = sd * Math.sqrt(2 / count);
  return (east: number, north: number): number => {
    let sum = 0;
    for (const [x, y, phase] of all) sum += Math.sin(x * east + y * north + phase);
    return amplitude * sum;
  };
}

function groundOf(ground: Ground, seed: number, source: Random): KnownBottom {
  const positive = (depth: (east: number, north: number) => number): KnownBottom => ({
    depth: (east, north) => Math.max(0.6, depth(east, north)),
  });
  if (ground === 'patch') {
    const lake = makeLake({ seed: seed + 41, perWord: 1 });
    const [east0, north0] = [source.range(0, lake.width - SIZE), source.range(0, lake.height - SIZE)];
    return { depth: (east, north) => lake.depth(east0 + east, north0 + north) };
  }
  if (ground === 'flat') {
    const base = source.range(3, 12);
    const swell = waves(source, 12, source.range(0.1, 0.4), 120, 400);
    return positive((east, north) => base + swell(east, north));
  }
  const steepness = source.range(0.008, 0.03);
  const way = source.range(0, 2 * Math.PI);
  const tilt = (east: number, north: number) =>
    8 + steepness * ((east - SIZE / 2) * Math.sin(way) + (north - SIZE / 2) * Math.cos(way));
  const swell = waves(source, 16, source.range(0.3, 1), 100, 400);
  if (ground === 'slope') return positive((east, north) => tilt(east, north) + swell(east, north));
  const chop = waves(source, 40, source.range(0.3, 0.9), 18, 90);
  return positive((east, north) => tilt(east, north) + swell(east, north) + chop(east, north));
}

/** A recorded sounding: depth and position, m. */
export interface Row {
  readonly depth: number;
  readonly east: number;
  readonly north: number;
}

/** A fault added to a survey. */
export interface Fault {
  readonly name: string;
  /** Number of the file of a pass; without it, all passes are in one file. */
  readonly fileOf?: (pass: number, scene: Scene) => number;
  /** Number of the day of a pass; without it, the number of its file. */
  readonly dayOf?: (pass: number, scene: Scene) => number;
  /** Returns the row as recorded with the fault. */
  readonly change?: (row: Row, at: At, scene: Scene) => Row;
}

export interface At {
  readonly row: number;
  readonly pass: number;
  readonly file: number;
  readonly day: number;
  /** Share of the rows of the survey before this one. */
  readonly share: number;
  /** Time from the start, s. */
  readonly time: number;
  /** Unit vector in the direction of travel. */
  readonly way: readonly [east: number, north: number];
}

/**
 * Records the scene with a fault and runs the log plugins.
 * @returns The survey as survey plugins receive it.
 */
export function surveyOf(scene: Scene, fault: Fault): Survey {
  const { rows } = scene;
  const frame = localFrame(ORIGIN.lat, ORIGIN.lon);
  const files = new Map<number, number[][]>();
  for (let i = 0; i < rows.count; i++) {
    const pass = rows.pass[i];
    const file = fault.fileOf?.(pass, scene) ?? 0;
    const day = fault.dayOf?.(pass, scene) ?? file;
    const j = i + 1 < rows.count && rows.pass[i + 1] === pass ? i : i - 1;
    const [x, y] = [rows.east[j + 1] - rows.east[j], rows.north[j + 1] - rows.north[j]];
    const step = Math.hypot(x, y) || 1;
    const plain = { depth: rows.depth[i], east: rows.east[i], north: rows.north[i] };
    const at: At = {
      row: i,
      pass,
      file,
      day,
      share: i / rows.count,
      time: rows.time[i],
      way: [x / step, y / step],
    };
    const row = fault.change?.(plain, at, scene) ?? plain;
    const list = files.get(file) ?? [];
    files.set(file, list);
    const [lat, lon] = frame.toGeographic(row.east, row.north);
    list.push([lat, lon, Math.round(100 * row.depth) / 100, ORIGIN.time + day * DAY + rows.time[i]]);
  }
  const pipeline = planPipeline(
    BUILT_IN.filter(({ stage }) => stage === 'log'),
    new Map(),
  );
  const logs: JoinedLog[] = [];
  for (const [file, list] of [...files].sort(([a], [b]) => a - b)) {
    const name = `${'abcdefgh'[file]}.csv`;
    const { soundings, dropped } = runLogSteps(logOf(name, list), pipeline.log, () => {});
    const gone = Object.values(dropped).reduce((sum, n) => sum + n, 0);
    logs.push({ file: name, account: { read: list.length, used: list.length - gone, dropped }, soundings });
  }
  return joinLogs(logs);
}

function logOf(file: string, rows: readonly (readonly number[])[]): SoundingLog {
  const depth = Float32Array.from(rows, (row) => row[2]);
  return {
    file,
    part: 0,
    count: rows.length,
    lat: Float64Array.from(rows, (row) => row[0]),
    lon: Float64Array.from(rows, (row) => row[1]),
    depth,
    time: Float64Array.from(rows, (row) => row[3]),
    pass: new Int32Array(rows.length),
    weight: new Float32Array(rows.length).fill(1),
    shallowest: depth.slice(),
    line: Uint32Array.from(rows, (_, i) => i + 2),
  };
}
