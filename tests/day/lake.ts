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

/**
 * An invented lake: a ring of sounded water around an island, with marks on the ring; m east and north of the center.
 */
export interface TestLake {
  readonly input: DayInput;
  readonly ramp: string;
}

const INNER = 500;
const OUTER = 1100;
const STEP = 25;

/** @param marks Number of marks, all on the ring. */
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
  /** m from the center of the lake. */
  readonly east: number;
  readonly north: number;
  /** Contact on the deep side, m; below, the share of it that the shallow side has, 0 to 1. */
  readonly contact: number;
  readonly upslope: number;
  readonly structure: StructureWord;
  /** m. */
  readonly depth: number;
  readonly note?: string;
}

/** An enriched mark M1, M2, ... with boat positions 30 m to both sides. */
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

/** Default values of the options of a plan. */
export const DEFAULTS = Object.fromEntries(
  Object.entries(dayPlanOptions).flatMap(([name, definition]) =>
    'default' in definition ? [[name, definition.default]] : [],
  ),
) as unknown as DayPlanOptions;

export interface Planned {
  readonly plan: DayPlan | undefined;
  readonly diagnostics: readonly Diagnostic[];
}

/** The plan of a lake with a quick search, the given options, and defaults for the rest. */
export function plan({ input, ramp }: TestLake, options: Partial<DayPlanOptions> = {}): Planned {
  const diagnostics: Diagnostic[] = [];
  const made = planDay(
    input,
    { ...DEFAULTS, ramp, date: '2026-07-04', iterations: 20, ...options },
    { report: (diagnostic) => void diagnostics.push(diagnostic), progress: () => {} },
  );
  return { plan: made, diagnostics };
}

/** The input of a plan page when nothing but the plan is known. */
export function planPageInput(made: DayPlan): ReportInput & { plan: DayPlan } {
  const { survey } = ringLake(0, 1).input;
  const columns = { depth: survey!.shallowest, pass: new Int32Array(survey!.count) };
  return {
    ...{ title: 'Ring lake', date: made.date, units: 'ft', waypoints: [], plan: made },
    survey: { ...survey!, ...columns },
  };
}

/** Rows of a log or list of marks as a file. */
export const csv = (...rows: Record<string, string>[]) => ({
  file: 'day.csv',
  header: [...new Set(rows.flatMap((row) => Object.keys(row)))],
  rows: rows.map((values, at) => ({ line: at + 2, values })),
});

/** A zones file with one closed square; position and size in m. */
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
