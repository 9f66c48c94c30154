import type { StructureWord } from '../../shared/contract/bottom-model.ts';
import type { Diagnostic } from '../../shared/contract/diagnostic.ts';
import type { EnrichedWaypoint } from '../../shared/contract/plugin.ts';
import { type DayPlanOptions, dayPlanOptions } from '../../shared/day/options.ts';
import type { DayPlan } from '../../shared/day/plan.ts';
import { type DayInput, planDay } from '../../shared/day/plan-day.ts';
import { localFrame } from '../../shared/geo/local-frame.ts';
import { seededRandom } from '../../shared/math/statistics.ts';
import type { ReportInput } from '../../src/page/report-input.ts';

const FRAME = localFrame(40, -90);

/** An invented lake as the input of a plan, with a ramp. */
export interface TestLake {
  readonly input: DayInput;
  readonly ramp: string;
}

const INNER = 500;
const OUTER = 1100;
const STEP = 25;

/**
 * Makes a ring of water 6 m deep around an island, with `marks` random marks on the ring. Lengths are in m,
 * and the center of the lake is at 40 N, 90 W.
 */
export function ringLake(marks: number, seed: number): TestLake {
  const random = seededRandom(seed);
  const lat: number[] = [];
  const lon: number[] = [];
  for (let east = -OUTER; east <= OUTER; east += STEP) {
    for (let north = -OUTER; north <= OUTER; north += STEP) {
      const distance = Math.hypot(east, north);
      if (distance < INNER || distance > OUTER) continue;
      const [toLat, toLon] = FRAME.toGeographic(east, north);
      lat.push(toLat);
      lon.push(toLon);
    }
  }
  const survey = {
    count: lat.length,
    lat: Float64Array.from(lat),
    lon: Float64Array.from(lon),
    shallowest: new Float32Array(lat.length).fill(6),
  };
  const waypoints = Array.from({ length: marks }, (_, index) => {
    const turn = 2 * Math.PI * random();
    const away = INNER + 100 + (OUTER - INNER - 200) * random();
    return mark(index, away * Math.cos(turn), away * Math.sin(turn), 3 + 12 * random());
  });
  return { input: { waypoints, survey }, ramp: placeText(-OUTER + 60, 0) };
}

export const placeText = (east: number, north: number): string =>
  FRAME.toGeographic(east, north)
    .map((degrees) => degrees.toFixed(7))
    .join(',');

export const geographic = (east: number, north: number): [lat: number, lon: number] =>
  FRAME.toGeographic(east, north);

interface MarkShape {
  readonly index: number;
  /** Distance east of the center of the lake, m. */
  readonly east: number;
  /** Distance north of the center of the lake, m. */
  readonly north: number;
  /** Contact on the deep side, m. */
  readonly contact: number;
  /** Contact on the shallow side as a share of `contact`. */
  readonly upslope: number;
  readonly structure: StructureWord;
  /** Depth, m. */
  readonly depth: number;
  readonly note?: string;
}

/** Makes the enriched mark M1, M2, ... with boat positions 30 m to the east (deep side) and to the west. */
export function enrichedMark(shape: MarkShape): EnrichedWaypoint {
  const { index, east, north, contact, upslope, structure, depth, note = '' } = shape;
  const [lat, lon] = FRAME.toGeographic(east, north);
  const [downLat, downLon] = FRAME.toGeographic(east + 30, north);
  const [upLat, upLon] = FRAME.toGeographic(east - 30, north);
  const texts = { comment: note, description: '', symbol: '', type: '' };
  return {
    waypoint: {
      index,
      file: 'lake.gpx',
      fileIndex: index,
      line: index + 3,
      lat,
      lon,
      name: `M${index + 1}`,
      ...texts,
    },
    fields: {
      depth,
      structure,
      downslope_lat: downLat,
      downslope_lon: downLon,
      downslope_fish_contact: contact,
      upslope_lat: upLat,
      upslope_lon: upLon,
      upslope_fish_contact: contact * upslope,
    },
    diagnostics: [],
  };
}

const mark = (index: number, east: number, north: number, contact: number): EnrichedWaypoint =>
  enrichedMark({
    index,
    east,
    north,
    contact,
    upslope: 0.6,
    structure: index % 2 === 0 ? 'ledge' : 'point',
    depth: 3 + (index % 5),
  });

/** Defaults of the plan's options that have one. */
export const DEFAULTS = Object.fromEntries(
  Object.entries(dayPlanOptions).flatMap(([name, definition]) =>
    'default' in definition ? [[name, definition.default]] : [],
  ),
) as unknown as DayPlanOptions;

export interface Planned {
  readonly plan: DayPlan | undefined;
  readonly diagnostics: readonly Diagnostic[];
}

/** Plans a day on a lake with a short search. Options that are not given have their defaults. */
export function plan({ input, ramp }: TestLake, options: Partial<DayPlanOptions> = {}): Planned {
  const diagnostics: Diagnostic[] = [];
  const made = planDay(
    input,
    { ...DEFAULTS, ramp, date: '2026-07-04', iterations: 20, ...options },
    { report: (diagnostic) => void diagnostics.push(diagnostic), progress: () => {} },
  );
  return { plan: made, diagnostics };
}

/** Makes the input of a page for a plan on a ring lake, without waypoints. */
export function planPageInput(made: DayPlan): ReportInput & { plan: DayPlan } {
  const { survey } = ringLake(0, 1).input;
  const columns = { depth: survey!.shallowest, pass: new Int32Array(survey!.count) };
  return {
    ...{ title: 'Ring lake', date: made.date, units: 'ft', waypoints: [], plan: made },
    survey: { ...survey!, ...columns },
  };
}

/** Makes a parsed CSV file, such as a log or a list of marks, from its rows. */
export const csv = (...rows: Record<string, string>[]) => ({
  file: 'day.csv',
  header: [...new Set(rows.flatMap((row) => Object.keys(row)))],
  rows: rows.map((values, at) => ({ line: at + 2, values })),
});

/** Makes a zones file with one square. `east` and `north` are its southwest corner; lengths in m. */
export function zoneFile(properties: object, east: number, north: number, size: number) {
  const corners = [
    [0, 0],
    [size, 0],
    [size, size],
    [0, size],
    [0, 0],
  ].map(([x, y]) => {
    const [lat, lon] = FRAME.toGeographic(east + x, north + y);
    return [lon, lat];
  });
  const geometry = { type: 'Polygon', coordinates: [corners] };
  const value = { type: 'FeatureCollection', features: [{ type: 'Feature', properties, geometry }] };
  return { file: 'zones.geojson', value };
}
