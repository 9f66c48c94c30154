/** Tools for testing a plugin: a synthetic lake, a survey from columns, and a full run with the plugin. */

import type { Diagnostic, Plugin, ReadWaypoint, Soundings, Survey } from '../shared/contract/index.ts';
import {
  type EnrichAnswer,
  type InputFile,
  type InputSoundings,
  joinLogs,
  type LakeRequest,
} from '../shared/engine/index.ts';
import { localFrame } from '../shared/geo/index.ts';

/** Soundings and marks of a lake, as the input of a run; `madeLake` makes one with a known bottom. */
export interface Scene {
  readonly soundings: readonly (InputFile | InputSoundings)[];
  readonly waypoints: readonly ReadWaypoint[];
}

/** A synthetic lake with its true depths. Places are in m east and north of its center, at 45 N 93 W. */
export interface MadeLake extends Scene {
  /** Returns the depth at a place, m, positive down. */
  depthAt(east: number, north: number): number;
  /** Returns the position of a place, deg. */
  placeAt(east: number, north: number): { readonly lat: number; readonly lon: number };
}

export interface MadeLakeOptions {
  /** Returns the depth at a place, m; by default a ledge that runs north and drops eastward from 4 to 9 m. */
  readonly depthAt?: (east: number, north: number) => number;
  /** Marks in m east and north; by default one on the ledge, `LEDGE`, with fish at 5 to 7 m. */
  readonly marks?: readonly {
    readonly east: number;
    readonly north: number;
    readonly name?: string;
    readonly comment?: string;
  }[];
  /** Distance between passes, m; 12 by default. */
  readonly spacing?: number;
  /** Distance from the center to the edge of the sounded area, m; 120 by default. */
  readonly reach?: number;
}

const ledge = (east: number): number => 6.5 + 2.5 * Math.tanh(east / 12);

/** Makes a lake sounded in parallel passes, one depth per meter. The same options give the same lake. */
export function madeLake({
  depthAt = ledge,
  marks = [{ east: 0, north: 0, name: 'LEDGE', comment: 'fish 5-7 m' }],
  spacing = 12,
  reach = 120,
}: MadeLakeOptions = {}): MadeLake {
  const frame = localFrame(45, -93);
  const placeAt = (east: number, north: number) => {
    const [lat, lon] = frame.toGeographic(east, north);
    return { lat, lon };
  };
  const columns = { lat: [] as number[], lon: [] as number[], depth: [] as number[], pass: [] as number[] };
  for (let north = -reach, pass = 0; north <= reach; north += spacing, pass++)
    for (let step = -reach; step <= reach; step++) {
      const east = pass % 2 === 0 ? step : -step;
      const { lat, lon } = placeAt(east, north);
      columns.lat.push(lat);
      columns.lon.push(lon);
      columns.depth.push(depthAt(east, north));
      columns.pass.push(pass);
    }
  const soundings: InputSoundings = {
    name: 'made',
    lat: Float64Array.from(columns.lat),
    lon: Float64Array.from(columns.lon),
    depth: Float64Array.from(columns.depth),
    pass: Int32Array.from(columns.pass),
    depthUnit: 'm',
    vertical: 'down',
  };
  const waypoints = marks.map(({ east, north, ...mark }) => ({ ...placeAt(east, north), ...mark }));
  return { soundings: [soundings], waypoints, depthAt, placeAt };
}

/** Makes a survey with one log, as survey and waypoint plugins receive it. */
export function surveyOf(
  columns: Pick<Soundings, 'lat' | 'lon' | 'depth'> & Partial<Omit<Soundings, 'count'>>,
): Survey {
  const count = columns.depth.length;
  const { depth } = columns;
  const soundings = {
    time: new Float64Array(count).fill(Number.NaN),
    pass: new Int32Array(count),
    weight: new Float32Array(count).fill(1),
    shallowest: depth,
    ...columns,
    count,
  };
  return joinLogs([{ file: 'made', account: { read: count, used: count, dropped: {} }, soundings }]);
}

export interface PluginRun extends EnrichAnswer {
  /** Errors with a code `plugin/...`: the plugin failed or violated the contract. */
  readonly faults: readonly Diagnostic[];
}

/**
 * Runs a plugin of any stage but `plan` along with the built-in plugins, as `enrich` of the package does. A
 * writer runs when `options` in `settings` give it a folder: `{ 'my-writer.out': 'folder' }`.
 *
 * @throws Refusal when `enrich` refuses an input or option.
 */
export async function runPlugin(
  plugin: Plugin,
  scene: Scene = madeLake(),
  settings: Omit<LakeRequest, 'soundings' | 'plugins'> & { readonly keepInternals?: boolean } = {},
): Promise<PluginRun> {
  const { enrich } = await import('./engine/program.ts');
  const { soundings, waypoints } = scene;
  const answer = await enrich({
    today: '2026-09-10',
    ...settings,
    soundings,
    waypoints: [{ name: 'marks', waypoints }],
    plugins: [plugin],
  });
  const faults = answer.messages.filter(
    ({ severity, code }) => severity === 'error' && code.startsWith('plugin/'),
  );
  return { ...answer, faults };
}
