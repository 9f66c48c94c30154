import { createHash } from 'node:crypto';
import { omitBy } from 'es-toolkit';
import { type EnrichedWaypoint, INTERNAL_FIELDS, type Survey } from '../../shared/contract/index.ts';
import {
  type DayPlan,
  type DayPlanOptions,
  planDay,
  type RunNetworks,
  readWater,
  runNetworks,
} from '../../shared/day/index.ts';
import { LAKE_GRID, type LakeGrid, makeLakeGrid } from '../../shared/lake/index.ts';
import { VERSION } from '../version.ts';
import { type BoatData, NOT_SOUNDED, type PackedDepths, type PackedWater, toText } from './boat-data.ts';
import { pack, packNumbers, packText } from './pack.ts';

export interface BoatInput
  extends Pick<BoatData, 'title' | 'date' | 'units' | 'waypoints' | 'options' | 'plan'> {
  readonly survey: Survey;
  /** The grid of the whole lake, if the run has made it. */
  readonly grid?: LakeGrid | undefined;
  /** Called with the share of the grid's work done, 0 to 1, if the grid is still to be made. */
  readonly progress?: (share: number) => void;
}

/** Approximate maximum number of grid nodes on a page; chosen so that a phone draws the lake smoothly. */
const MAX_NODES = 250_000;

/** Makes the data of a boat page. @throws RangeError when the soundings span too much ground for one grid. */
export function makeBoatData({
  survey,
  grid,
  waypoints,
  options,
  plan,
  progress,
  ...rest
}: BoatInput): BoatData {
  const data = {
    ...rest,
    version: VERSION,
    waypoints: waypoints.map(plainMark),
    options,
    plan,
    water: packWater(plan === undefined ? undefined : waysOf(waypoints, survey, options, plan)),
    depths: packDepths(grid ?? makeLakeGrid(survey, { ...LAKE_GRID, draws: 1 }, progress)),
  };
  const identity = createHash('sha256').update(toText(data)).digest('base64url').slice(0, 22);
  return { identity, ...data };
}

const plainMark = ({ waypoint, fields }: EnrichedWaypoint): EnrichedWaypoint => ({
  waypoint,
  fields: omitBy(fields, (_, name) => name in INTERNAL_FIELDS),
  diagnostics: [],
});

function waysOf(
  waypoints: readonly EnrichedWaypoint[],
  survey: Survey,
  options: DayPlanOptions,
  { ramp, end }: DayPlan,
): RunNetworks | undefined {
  // Problems with zones and shoreline were reported when the plan was made.
  const { shore } = readWater(options, () => undefined);
  const networks = runNetworks({ waypoints, survey }, options, [ramp, end], shore);
  // Planning computes the runs that the page stores; one round of the search is enough for that.
  const silent = { report: () => undefined, progress: () => undefined };
  if (networks !== undefined) planDay({ waypoints, survey, networks }, { ...options, iterations: 1 }, silent);
  return networks;
}

function packWater(networks: RunNetworks | undefined): PackedWater | undefined {
  if (networks === undefined) return undefined;
  const { frame, state, ...grid } = networks.water;
  const runs = packText(toText(networks.computed()));
  return { lat: frame.lat, lon: frame.lon, ...grid, state: pack(state), runs };
}

function packDepths(grid: LakeGrid | undefined): PackedDepths | undefined {
  if (grid === undefined) return undefined;
  const { frame, axis, x0, y0, cell, depth } = grid;
  const step = Math.max(1, Math.ceil(Math.sqrt((grid.columns * grid.rows) / MAX_NODES)));
  const columns = Math.ceil(grid.columns / step);
  const rows = Math.ceil(grid.rows / step);
  const centimeters = Int16Array.from({ length: columns * rows }, (_, node) => {
    const value = depth[Math.floor(node / columns) * step * grid.columns + (node % columns) * step];
    return Number.isNaN(value) ? NOT_SOUNDED : Math.min(32_767, Math.round(value * 100));
  });
  const lattice = { axis, x0, y0, cell: cell * step, columns, rows };
  return { lat: frame.lat, lon: frame.lon, ...lattice, depth: packNumbers(centimeters) };
}
